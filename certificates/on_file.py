"""What the file of a job knows already about a line, to be read beside it; it meets nothing by itself."""

from django.utils.formats import date_format

from testing.testday import measuring
from testing.testday.procedures import measured
from vehicles.calculations import ranges
from vehicles.wording import in_a_sentence

# A number in the file is not yet a ticket, nor a measurement of the kind that is asked for.
_FACTS = {
    "OVERALL_WIDTH": ("overall_width_mm",),
    "WEIGHBRIDGE": ("front_axle_kg", "rear_axle_kg", "fuel_level"),
    "WHEELBASE_SIDES": ("wheelbase_mm",),
}


def known(job):
    """A sentence for each line of which something is on file, by code."""
    found = {}
    for code, names in _FACTS.items():
        values = [(ranges.VEHICLE[name], getattr(job.vehicle, name)) for name in names]
        told = [
            f"{in_a_sentence(row.label)} {value:,.10g} {row.unit}".strip() for row, value in values if value is not None
        ]
        if told:
            found[code] = ", ".join(told)
    for sheet in measuring.latest(job).values():
        kind = measured(sheet.procedure)
        verdict = "met" if sheet.met else "not met"
        found |= dict.fromkeys(
            kind.asked_by, f"{in_a_sentence(kind.title)} of {date_format(sheet.measured_on)}, {verdict}"
        )
    return found
