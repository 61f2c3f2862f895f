"""Erasing what is past its years, one file at a time. The page and the command both come here."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction

from jobs.refused import Refused
from jobs.retention import kinds, rule


@dataclass(frozen=True, kw_only=True)
class Old:
    """A file in the list, with the day that its years count from."""

    kind: kinds.Kind
    file: object
    day: date
    because: str

    @property
    def vehicle(self):
        return self.kind.vehicle(self.file)

    @property
    def owner(self):
        return self.kind.owner(self.file)


def old_files():
    """Every file past its years with something left to erase, oldest of each kind first."""
    for kind in kinds.all_kinds():
        for file in rule.with_days(kind, rule.to_erase(kind)).iterator():
            yield _old(kind, file)


def old_file(kind, pk):
    """One closed file with its day, whether it is past its years or not; None where there is none."""
    file = rule.with_days(kind, kind.files().filter(pk=pk)).first()
    return file and _old(kind, file)


def _old(kind, file):
    day, because = rule.counted_from(kind, file)
    return Old(kind=kind, file=file, day=day, because=because)


def is_due(old):
    return rule.to_erase(old.kind).filter(pk=old.file.pk).exists()


def goes(old):
    """What is in the file that goes: name → how many."""
    found = {part.what: part.rows(old.file.pk).count() for part in old.kind.parts}
    return {what: number for what, number in found.items() if number}


def stays(old):
    """What usually goes and stays this time: name → why."""
    found = {part.what: part.stays(old.file.pk) for part in old.kind.parts}
    return {what: why for what, why in found.items() if why}


@transaction.atomic
def erase(old, *, by):
    """Erase one file; one entry says by whom and what went. Raises Refused for a file that is still kept."""
    kind = old.kind
    file = kind.files().select_for_update(of=("self",)).get(pk=old.file.pk)
    if not is_due(old):
        raise Refused(f"{file} is still kept, or nothing is left in it that goes.")
    gone = {what: f"stays: {why}" for what, why in stays(old).items()}
    for part in kind.parts:
        rows = part.rows(file.pk)
        if number := rows.count():
            part.erase(rows, by)
            gone[part.what] = number
    kind.note(file, by, gone)
    return gone


def erase_all(*, by=None):
    """Erase every file that is due, each in an act of its own. Yields each with what went."""
    for old in list(old_files()):
        try:
            yield old, erase(old, by=by)
        except Refused:
            # Somebody else was quicker, or the owner came again meanwhile.
            continue
