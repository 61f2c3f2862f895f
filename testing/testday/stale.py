"""Whether a test day still speaks about the vehicle as it is on file."""

from testing.triage.canonical import same
from testing.workup import inputs_of

FACTS = ("jurisdiction", "vehicle", "modifications")
_WORDS = {
    "jurisdiction": "The place of registration was changed after the day was opened.",
    "modifications": "The modifications were changed after the day was opened.",
    "crew": "Driver, instruments or missing equipment, or their mass, were changed after the day was opened.",
}


def changed_facts(day):
    """What changed about the vehicle since the day was opened, one sentence each."""
    return _changes(day, FACTS)


def changes(day):
    """As `changed_facts`, and what changed about who drives: the masses rest on both."""
    return _changes(day, (*FACTS, "crew"))


def _changes(day, parts):
    now = inputs_of(day.booking.job)
    found = []
    for part in parts:
        if same(now[part], day.inputs[part]):
            continue
        if part == "vehicle":
            found.append(_vehicle(day.inputs[part], now[part]))
        else:
            found.append(_WORDS[part])
    return found


def _vehicle(before, now):
    names = sorted(name for name in before.keys() | now.keys() if not same(before.get(name), now.get(name)))
    listed = ", ".join(name.rpartition("_")[0].replace("_", " ") if "_" in name else name for name in names)
    return f"Facts of the vehicle were changed after the day was opened: {listed}."
