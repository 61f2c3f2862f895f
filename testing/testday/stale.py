"""Whether a test day still speaks about the vehicle as it is on file."""

from testing.triage.canonical import same
from testing.workup import inputs_of

FACTS = ("jurisdiction", "vehicle", "modifications")
# The masses and the course rest on who drives too.
ON_MASSES = (*FACTS, "crew")
_WORDS = {
    "jurisdiction": "The place of registration was changed since.",
    "modifications": "The modifications were changed since.",
    "crew": "Driver, instruments or missing equipment, or their mass, were changed since.",
}


def changed_facts(day):
    """What changed about the vehicle since the day was opened, one sentence each."""
    return _changes(day, FACTS)


def changes(day):
    """As `changed_facts`, and what changed about who drives: the masses rest on both."""
    return _changes(day, ON_MASSES)


def since(inputs, job):
    """What changed about the vehicle since these inputs were kept; nothing where none were."""
    return _differing(inputs, inputs_of(job), FACTS) if inputs else []


def _changes(day, parts):
    return _differing(day.inputs, inputs_of(day.booking.job), parts)


def _differing(before, now, parts):
    found = []
    for part in parts:
        if same(now[part], before[part]):
            continue
        found.append(_vehicle(before[part], now[part]) if part == "vehicle" else _WORDS[part])
    return found


def _vehicle(before, now):
    names = sorted(name for name in before.keys() | now.keys() if not same(before.get(name), now.get(name)))
    listed = ", ".join(name.rpartition("_")[0].replace("_", " ") if "_" in name else name for name in names)
    return f"Facts of the vehicle were changed since: {listed}."
