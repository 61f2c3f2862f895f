"""Requirements that need nobody's word: the sheets of the job meet them, or will."""

from dataclasses import dataclass
from datetime import datetime

from django.utils import formats

from testing.testday import checks, measuring
from testing.testday.procedures import measured, measured_keys
from testing.testday.result import result
from testing.triage.decision import DRIVING_REPORT, LANE_CHANGE

# What the day sheet and the driving report ask to be looked at before anybody drives.
_ON_THE_DAY = ("mechanical", "tyre_pressures", "brakes")
_BEFORE_THE_DRIVE = ("mechanical", "tyres", "brakes")


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """What meets a line, with who signed it and when. While it is not there yet, ``by`` is empty."""

    text: str
    by: str = ""
    at: datetime | None = None

    @property
    def done(self):
        return bool(self.by)


def sheets(job):
    """What meets a line by itself, by code. A line that is not in it waits for the engineer's word."""
    found = result(job)
    return {**dict(_driven(found)), **dict(_measured(job, found)), **_looked_at(found), **_insured(job, found)}


def _driven(found):
    # Only where the drive itself is asked for: else no sheet is on its way, and the line would wait for ever.
    if LANE_CHANGE in found.required:
        yield LANE_CHANGE, _lane_change(found)
        yield "DRIVER_STATEMENT", _statement(found)
    if DRIVING_REPORT in found.required:
        yield DRIVING_REPORT, _drive(found)


def _lane_change(found):
    signed = found.statement and getattr(found.statement, "countersignature", None)
    if not signed:
        return Sheet(text="The day sheet of the lane change meets it when it is countersigned")
    return Sheet(text=f"Day sheet of {_day(found.day.booking.day)}", by=signed.by.full_name, at=signed.when)


def _statement(found):
    if not found.statement:
        return Sheet(text="The driver's signature on the day sheet meets it")
    said = found.statement
    return Sheet(text=f"Driver's statement of {_day(found.day.booking.day)}", by=said.signed_name, at=said.when)


def _drive(found):
    if not found.report:
        return Sheet(text="The certifier's driving report meets it when it is signed")
    driven = found.report
    return Sheet(text=f"Driving report of {_day(driven.driven_on)}", by=driven.by.full_name, at=driven.when)


def _measured(job, found):
    """A procedure meets the lines that ask for its result and for nothing else."""
    done = measuring.latest(job)
    for kind in map(measured, measured_keys()):
        row = done.get(kind.key)
        for code in kind.meets:
            if row:
                yield code, Sheet(text=f"{kind.title} of {_day(row.measured_on)}", by=row.by.full_name, at=row.when)
            elif kind.key in found.required:
                yield code, Sheet(text=f"The sheet of the {kind.title.lower()} meets it when it is recorded")


def _looked_at(found):
    sheet = _looked_at_on_the_day(found) or _looked_at_before_the_drive(found)
    return {"BRAKE_CHECK": sheet, "INSPECTION_SHEET": sheet} if sheet else {}


def _looked_at_on_the_day(found):
    if LANE_CHANGE not in found.required or not found.day:
        return None
    confirmed = checks.confirmed(found.day)
    rows = [confirmed.get(key) for key in _ON_THE_DAY]
    if not all(rows):
        return None
    last = max(rows, key=lambda row: row.when)
    text = f"Day sheet of {_day(found.day.booking.day)}: inspection, tyre pressures and brakes confirmed"
    return Sheet(text=text, by=last.by.full_name, at=last.when)


def _looked_at_before_the_drive(found):
    if DRIVING_REPORT not in found.required or not found.report:
        return None
    if not set(_BEFORE_THE_DRIVE) <= set(found.report.checks):
        return None
    text = f"Driving report of {_day(found.report.driven_on)}: inspection, tyres and brakes confirmed"
    return Sheet(text=text, by=found.report.by.full_name, at=found.report.when)


def _insured(job, found):
    """Cover that held on the day of the test; without a day nobody can say yet which cover that is."""
    if not found.day:
        return {}
    on = found.day.booking.day
    held = job.covers.filter(valid_from__lte=on, valid_to__gte=on).first()
    if held is None:
        return {}
    text = f"{held.reference}, valid from {_day(held.valid_from)} to {_day(held.valid_to)}"
    return {"INSURANCE": Sheet(text=text, by=found.day.opened_by.full_name, at=found.day.opened_at)}


def _day(on):
    return formats.date_format(on, "j F Y")
