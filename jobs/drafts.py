"""What was typed and not yet saved, kept for the person and the page it was typed on.

A form names in `never_kept = drafts.never(...)` what is not: secrets, signatures, and words that hold only at the
moment they are given. A page does not send these to be kept, and from whoever sends them all the same they are not
taken, whatever page they say they come from.
"""

from datetime import timedelta

from django.utils import timezone

from jobs import loaded
from jobs.models import Draft

LARGEST = 64_000
KEPT_FOR = timedelta(days=365)
_never = {"csrfmiddlewaretoken", "path", "password"}


def never(*names):
    """These fields are kept on no page. Gives the names back, for the form that asks for them."""
    _never.update(names)
    return names


def keep(user, path, data):
    """Keep the typed values; the latest of a page replaces what was kept before."""
    values = {key: _readable(data.getlist(key)) for key in data if key not in _never}
    path = path.replace("\x00", "")
    if sum(len(key) + len(str(value)) for key, value in values.items()) > LARGEST or len(path) > 200:
        return False
    Draft.objects.update_or_create(user=user, path=path, defaults={"values": values})
    return True


def _readable(typed):
    # PostgreSQL keeps no NUL in JSON, and nobody can type one.
    clean = [text.replace("\x00", "") for text in typed]
    return clean if len(clean) > 1 else "".join(clean)


def kept(user, path):
    return Draft.objects.filter(user=user, path=path).first()


def forget(user, path):
    Draft.objects.filter(user=user, path=path).delete()


def sweep():
    """Throw away what nobody came back to in all that time."""
    Draft.objects.filter(kept_at__lt=timezone.now() - KEPT_FOR).delete()


def fill(form_class, request, *, initial=None, of_stored=False, **kwargs):
    """The form of this page: bound to what was sent, else filled with what was typed before.

    An unsendable form is kept as well: a mistake found is no reason to type everything again. A form about a row
    that is stored already carries what it was filled with; see jobs/loaded.py. ``of_stored`` says so of an ``initial``
    that was read from rows.
    """
    now = _stored(form_class, initial, kwargs, of_stored)
    if request.method == "POST":
        data, both = loaded.merged(request.POST, now) if now else (request.POST, {})
        form = form_class(data, request.FILES or None, initial=initial, **kwargs)
        form.is_valid()
        loaded.refuse(form, both, now)
        if not form.is_valid():
            keep(request.user, request.path, data)
        form.as_loaded = data.get(loaded.FIELD, "") if now else ""
        return form
    draft = kept(request.user, request.path)
    values = {key: value for key, value in draft.values.items() if key not in _never} if draft else {}
    typed, both = loaded.still_typed(values, now) if draft and now else (values, {})
    form = form_class(initial={**(initial or {}), **typed}, **kwargs)
    form.draft = draft if typed else None
    form.flags = list(loaded.flags(form, both, now))
    form.as_loaded = loaded.written(now) if now else ""
    return form


def _stored(form_class, initial, kwargs, of_stored):
    """What the page shows of a row that exists; nothing for a form that begins one."""
    instance = kwargs.get("instance")
    return loaded.stored(form_class(initial=initial, **kwargs)) if of_stored or (instance and instance.pk) else {}
