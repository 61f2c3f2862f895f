"""What else the sheet of a test day holds: loading, exceptions, stops, logs, ratings, countersignature.

Parts that a day does not have are left out of the record, so that nothing reads as an empty promise.
"""

from certificates.moments import when
from testing.testday.models import LoggedPass


def _signed(row, **facts):
    return {**facts, "by": row.by.full_name, "at": when(row.at)}


def sheet_of(day):
    """The parts of one day, each only where there is something."""
    parts = {
        "loadings": [_loading(row) for row in day.loadings.all()],
        "exceptions": [_signed(row, key=row.key, reason=row.reason) for row in day.exceptions.all()],
        "stops": [_signed(row, reason=row.reason) for row in day.stops.all()],
        "roll_limits": [_signed(row, angle_deg=row.angle_deg, reason=row.reason) for row in day.roll_limits.all()],
        "settlements": [
            _signed(row, about=row.get_about_display(), ruling=row.ruling, reason=row.reason)
            for row in day.settlements.all()
        ],
        "logs": [_log(log) for log in day.logs.all()],
    }
    return {name: rows for name, rows in parts.items() if rows}


def _loading(row):
    return _signed(
        row,
        mass=row.mass,
        places=row.places,
        front_kg=row.front_kg,
        rear_kg=row.rear_kg,
        total_kg=row.total_kg,
        target_kg=row.target_kg,
        basis=row.basis,
        met=row.met,
        because=row.because,
        restrained=row.restrained,
        remark=row.remark,
    )


def _log(log):
    passes = LoggedPass.objects.standing().filter(log=log).select_related("run").order_by("number")
    return {
        "instrument": log.instrument,
        "original_name": log.original_name,
        "sha256": log.sha256,
        "passes": [{"number": one.number, "run": one.run and one.run.number, "found": one.found} for one in passes],
    }


def more_of_run(run):
    """What a run carries beyond its result, each part only where there is something."""
    more = {
        "gust_mps": run.gust_mps,
        "cones": run.cones,
        "roll_deg": run.roll_deg,
        "wheel_lift": run.wheel_lift,
        "driver_stops": run.driver_stops,
        "photos": [photo.sha256 for photo in sorted(run.photos.all(), key=lambda photo: photo.pk)],
    }
    return {name: value for name, value in more.items() if value not in (None, False, [])}


def more_of_statement(statement):
    """The driver's ratings, and the signatory's own word under the statement."""
    more = {"ratings": statement.ratings} if statement.ratings else {}
    if own := getattr(statement, "countersignature", None):
        more["countersigned"] = _signed(
            own,
            safe=own.safe,
            remark=own.remark,
            signed_name=own.signed_name,
            authority_number=own.authority_number,
        )
    return more


def measurements_of(job):
    """Sheets of other procedures: values, limits with their source, instrument in date, verdict."""
    return [
        _signed(
            row,
            procedure=row.procedure,
            measured_on=row.measured_on.isoformat(),
            values=row.values,
            limits=row.limits,
            instrument=row.instrument,
            calibrated_until=row.calibrated_until.isoformat(),
            met=row.met,
            findings=row.findings,
            remark=row.remark,
        )
        for row in job.measurements.all()
    ]


def instruments_of(booking):
    """Instruments booked for the day, each with the calibration that held then."""
    return [
        {
            "name": item.name,
            "kind": item.get_kind_display(),
            "serial": item.serial,
            "calibration": item.certificate,
            "calibrated_until": item.valid_to and item.valid_to.isoformat(),
        }
        for item in booking.instruments.all()
    ]


def crew_of(booking):
    """Everybody booked beside the driver."""
    return [{"name": member.name} for member in booking.observers.all()]
