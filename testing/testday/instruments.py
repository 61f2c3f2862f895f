"""What the day is measured with: instruments booked from the register, or the ones written down on the day."""

from django.utils.formats import date_format

ASKS = "Which one, its serial number, and until when its calibration holds"


def booked(day):
    """Instruments of the booking by kind."""
    found = {}
    for instrument in day.booking.instruments.all():
        found.setdefault(instrument.kind, []).append(instrument)
    return found


def objections(day):
    """Why what is booked cannot be relied on today: looked at again, calibrations run out and are renewed."""
    return [text for one in day.booking.instruments.all() if (text := one.objection(day.booking.day))]


def told(day, kind):
    """The booked instruments of a kind in words, or an empty text where none is."""
    return "; ".join(
        f"{one.name}, {one.serial}" + (f", calibrated until {date_format(one.valid_to)}" if one.valid_to else "")
        for one in booked(day).get(kind, ())
    )
