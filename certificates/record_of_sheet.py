"""What else the sheet of a test day holds: loading, exceptions, stops, logs, ratings, countersignature.

Parts that a day does not have are left out of the record, so that nothing reads as an empty promise.
"""

from datetime import timedelta

from certificates.moments import when
from testing.testday.models import LoggedPass
from testing.testday.procedure import lane_change
from testing.testday.procedures import measured

# Longer than sending takes with reception.
WAITED = timedelta(minutes=1)


def signed(row, **facts):
    """The facts of a row with who wrote them down and when; told apart from when a phone had reception again."""
    told = {**facts, "by": row.by.full_name, "at": when(row.when)}
    return told | {"sent_at": when(row.at)} if row.at - row.when > WAITED else told


def sheet_of(day):
    """The parts of one day, each only where there is something."""
    parts = {
        "loadings": [_loading(row) for row in day.loadings.all()],
        "exceptions": [_stood(row, reason=row.reason) for row in day.exceptions.select_related("by", "taken_back__by")],
        "stops": [signed(row, reason=row.reason) for row in day.stops.all()],
        "roll_limits": [signed(row, angle_deg=row.angle_deg, reason=row.reason) for row in day.roll_limits.all()],
        "settlements": [
            signed(row, about=row.get_about_display(), ruling=row.ruling, reason=row.reason)
            for row in day.settlements.all()
        ],
        "logs": [_log(log) for log in day.logs.all()],
    }
    return {name: rows for name, rows in parts.items() if rows}


def checks_of(day):
    """Every check that was confirmed, also those that were taken back later."""
    rows = day.checks.select_related("by", "taken_back__by")
    return [_stood(row, **({"note": row.note} if row.note else {})) for row in rows]


def _stood(row, **facts):
    """A check or an exception in the words of the list, and what became of it."""
    item = lane_change().item(row.key)
    if back := getattr(row, "taken_back", None):
        facts["taken_back"] = signed(back, reason=back.reason)
    return signed(row, key=row.key, text=item.text if item else row.key, **facts)


def _loading(row):
    return signed(
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
        more["countersigned"] = signed(
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
        signed(
            row,
            procedure=row.procedure,
            title=measured(row.procedure).title,
            measured=_measured(row),
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


def _measured(row):
    """Each value under the name that people know, with its unit; what the judgement took from the file as well."""
    kind = measured(row.procedure)
    fields = {field.name: (field.label, field.unit) for field, _ in kind.fields}
    named = [(*fields.get(name, _of_the_file(name)), value) for name, value in row.values.items()]
    return [{"label": label, "unit": unit, "value": value} for label, unit, value in named]


def _of_the_file(name):
    what, _, unit = name.rpartition("_")
    return f"{what.upper()}, from the file", unit
