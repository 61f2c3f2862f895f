"""Checking that what the register is searched by agrees with what was sealed."""

from certificates import lines
from certificates.chain import Problem
from certificates.models import Certificate, ImportedCertificate, RegisterKey, RegisterLine

_AS_SEALED = "manage.py register_index makes the search anew from the sealed records"


def check_lines():
    """Every Problem of the search index."""
    for model in (Certificate, ImportedCertificate):
        for subject in _with_lines(model):
            for what in _faults(subject):
                position = getattr(subject, "position", 0)
                yield Problem(number=subject.number, position=position, what=f"search: {what}; {_AS_SEALED}")
    for line in RegisterLine.objects.filter(certificate=None, imported=None):
        yield Problem(number=line.number, position=0, what=f"search: it shows a certificate that is none; {_AS_SEALED}")


def _with_lines(model):
    return (
        model.objects.order_by("pk")
        .select_related("line")
        .prefetch_related("events", "line__keys")
        .iterator(chunk_size=200)
    )


def _faults(subject):
    line = getattr(subject, "line", None)
    if line is None:
        yield "it is not found"
        return
    try:
        expected = {**lines.facts(subject), "place": lines.place_of(subject), "state": lines.state_of(subject)}
        keys = lines.keys_of(subject, expected)
    except (KeyError, TypeError, ValueError, AttributeError):
        # The check of the certificates names the record itself.
        return
    for name, value in expected.items():
        if getattr(line, name) != value:
            yield f"it shows {name} as “{getattr(line, name)}” instead of “{value}”"
    if sorted((key.kind, key.key) for key in line.keys.all()) != keys:
        yield "the words it is found by were changed"


def rebuild():
    """Make the search anew from the sealed records. Returns how many lines it has."""
    RegisterKey.objects.all().delete()
    RegisterLine.objects.all().delete()
    for model in (Certificate, ImportedCertificate):
        for subject in model.objects.order_by("pk").prefetch_related("events").iterator(chunk_size=200):
            lines.add(subject)
    return RegisterLine.objects.count()
