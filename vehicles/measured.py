"""Corner weights, axle lift and rows of seats: columns of a vehicle, and the same as parts of a case."""

from dataclasses import replace

from vehicles.calculations import ranges

STEPS, ROWS = (1, 2, 3, 4), (1, 2, 3)


def _column(row, name, label=None):
    return replace(row, name=name, label=label or row.label)


CORNERS = {f"corner_{name}": _column(row, f"corner_{name}") for name, row in ranges.CORNERS.items()}
LIFT = {f"lift_{name}": _column(row, f"lift_{name}") for name, row in ranges.AXLE_LIFT.items()}
LIFT_STEPS = {
    f"lift_{step}_{name}": _column(row, f"lift_{step}_{name}", f"Step {step}, {row.label.lower()}")
    for step in STEPS
    for name, row in ranges.LIFT_STEP.items()
}
SEAT_ROWS = {
    f"row_{number}_{name}": _column(row, f"row_{number}_{name}", f"Row {number}: {label}")
    for number in ROWS
    for (name, row), label in zip(ranges.SEAT_ROW.items(), ("behind the front axle", "seats"), strict=True)
}
# In a case it stands with what rides along; here it is a fact of the weighing.
EQUIPMENT = {"missing_equipment_kg": ranges.CREW["missing_equipment_kg"]}
COLUMNS = CORNERS | LIFT | LIFT_STEPS | SEAT_ROWS | EQUIPMENT


def measured_data(vehicle):
    """What was measured, in the shape of a case file; what was not is left out."""
    found = {
        "corner_weights": _known(vehicle, "corner", ranges.CORNERS),
        "axle_lift": _lift(vehicle),
        "seat_rows": [row for number in ROWS if (row := _known(vehicle, f"row_{number}", ranges.SEAT_ROW))],
    }
    return {name: value for name, value in found.items() if value}


def _lift(vehicle):
    axle = {"raised_axle": vehicle.lift_raised_axle} if vehicle.lift_raised_axle else {}
    steps = [step for number in STEPS if (step := _known(vehicle, f"lift_{number}", ranges.LIFT_STEP))]
    return axle | _known(vehicle, "lift", ranges.AXLE_LIFT) | ({"steps": steps} if steps else {})


def _known(vehicle, prefix, table):
    values = {name: getattr(vehicle, f"{prefix}_{name}") for name in table}
    return {name: value for name, value in values.items() if value is not None}


def field_of(path):
    """The field of the vehicle's form that a path of a case file stands for, or an empty text."""
    part, _, name = path.partition(".")
    if name == "from_diameter_mm":
        return "tyre"
    if part in ("vehicle", "places"):
        return name
    if part == "corner_weights":
        return f"corner_{name}"
    if part == "axle_lift":
        return "lift_1_held_axle_kg"
    return "row_1_seats" if part == "seat_rows" else ""
