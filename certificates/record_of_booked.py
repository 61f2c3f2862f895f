"""Site, driver, crew and instruments of a test day, as they were when it was opened.

The registers go on: a calibration is renewed, a driver's evidence is brought up to date. What was
copied at the opening is what the day was driven with. What was booked after that was never copied;
it is read as it stands when the record is made and says so, because leaving it out would hide who
and what was there. A day from before the copying is read that way as a whole.
"""

from testing.testday import as_booked


def booked_of(day):
    """The part of the record of a day that its booking tells."""
    copy, now = day.booked, as_booked.as_booked(day.booking)
    if not copy:
        copy = now
    later = copy["driver"]["id"] != now["driver"]["id"]
    return {
        **{"site" if name == "name" else name: value for name, value in copy["site"].items()},
        "driver": _told(now["driver"], later=True) if later else _told(copy["driver"]),
        "crew": list(_all(copy["crew"], now["crew"])),
        "instruments": list(_all(copy["instruments"], now["instruments"])),
    }


def _all(copied, now):
    known = {row["id"] for row in copied}
    yield from map(_told, copied)
    yield from (_told(row, later=True) for row in now if row["id"] not in known)


def _told(row, *, later=False):
    told = {name: value for name, value in row.items() if name != "id"}
    return told | {"booked_after_opening": True} if later else told
