"""The head of the register: two seals that stand for everything written so far.

Whoever keeps a copy of it outside, on paper, in a mail or with a notary, can tell later that
nothing before it was changed, whatever happened to this machine.
"""

import re

from django.utils import timezone

from certificates.models import Certificate, Event
from certificates.moments import when

_LINE = re.compile(r"^(certificates|events)\s+(\d+)\s+([0-9a-f]{64})\s*$", re.MULTILINE)
_TABLES = {"certificates": Certificate, "events": Event}
NOTHING = "0" * 64


def head():
    """Count and last seal of both chains."""
    found = {}
    for name, model in _TABLES.items():
        last = model.objects.order_by("-position").first()
        found[name] = (last.position, last.seal) if last else (0, NOTHING)
    return found


def as_text(found=None, *, at=None):
    """The head as people print and mail it; `register_check --against` reads it again."""
    rows = "\n".join(f"{name} {count} {seal}" for name, (count, seal) in (found or head()).items())
    return f"Head of the certification register, {when(at or timezone.localtime())}\n{rows}\n"


def faults(text):
    """What of the register does not agree with a head that was kept outside."""
    kept = {name: (int(count), seal) for name, count, seal in _LINE.findall(text)}
    if set(kept) != set(_TABLES):
        return ["this is no head of a register: it needs a line for certificates and one for events"]
    return [fault for name, (count, seal) in kept.items() for fault in _fault(name, count, seal)]


def _fault(name, count, seal):
    if count == 0:
        return
    entry = _TABLES[name].objects.filter(position=count).first()
    if entry is None:
        yield f"{name}: entry {count} was there when the head was kept, and is gone"
    elif entry.seal != seal:
        yield f"{name}: entry {count} has another seal than when the head was kept"
