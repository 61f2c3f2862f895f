"""What a calculation left undecided, in the words of the forms instead of the keys of a case file."""

import re

from vehicles.calculations import ranges
from vehicles.wording import in_a_sentence

_LABELS = {name: row.label for table in (ranges.VEHICLE, ranges.CREW, ranges.PLACES) for name, row in table.items()}
_LABELS |= {"tyre": "Original tyre size", "adr_category": "ADR category", "fuel": "Fuel", "esc": "Stability control"}
_LABELS |= {name: row.label for table in (ranges.CORNERS, ranges.AXLE_LIFT) for name, row in table.items()}
_LABELS |= {
    "load index": "Load index",
    "raised_axle": "Axle raised",
    "steps": "Axle lift",
    "seat_rows": "Rows of seats",
}
_STEP = re.compile(r"axle_lift\.steps\[(\d+)\]\.(\w+)")
_MODIFICATION = re.compile(r"modifications\[(\d+)\]\.(\w+)")
_MODIFICATION_LABELS = {name: in_a_sentence(row.label) for name, row in ranges.MODIFICATION.items()}
_MODIFICATION_LABELS |= {"to": "tyre size now fitted", "to_category": "category afterwards"}


def plainly(undecided):
    """One readable line for each thing to measure. What only follows from another line is left out."""
    lines = []
    for text in undecided:
        path, _, what = text.partition(": ")
        if not what.startswith("see "):
            lines.append(f"{label(path)}: {what}" if what else text)
    return lines


def label(path):
    """What a person calls the place of a case file by that path."""
    if found := _MODIFICATION.fullmatch(path):
        name = _MODIFICATION_LABELS.get(found[2], found[2].replace("_", " "))
        return f"Modification {int(found[1]) + 1}, {name}"
    if found := _STEP.fullmatch(path):
        return f"Axle lift, step {int(found[1]) + 1}, {ranges.LIFT_STEP[found[2]].label.lower()}"
    name = path.rpartition(".")[2]
    return _LABELS.get(name, name.replace("_", " "))
