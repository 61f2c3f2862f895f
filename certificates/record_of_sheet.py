"""What else the sheet of a test day holds: loading, exceptions, stops, logs, ratings, countersignature.

Parts that a day does not have are left out of the record, so that nothing reads as an empty promise.
"""

from certificates.moments import when


def _rows(owner, name):
    """All rows of a relation; none where testing does not keep such a thing."""
    related = getattr(owner, name, None)
    return list(related.all()) if related is not None else []


def _signed(row, **facts):
    return {**facts, "by": row.by.full_name, "at": when(row.at)}


def sheet_of(day):
    """The parts of one day, each only where there is something."""
    parts = {
        "loadings": [_loading(row) for row in _rows(day, "loadings")],
        "exceptions": [_signed(row, key=row.key, reason=row.reason) for row in _rows(day, "exceptions")],
        "stops": [_signed(row, reason=row.reason) for row in _rows(day, "stops")],
        "roll_limits": [_signed(row, angle_deg=row.angle_deg, reason=row.reason) for row in _rows(day, "roll_limits")],
        "settlements": [
            _signed(row, about=row.get_about_display(), ruling=row.ruling, reason=row.reason)
            for row in _rows(day, "settlements")
        ],
        "logs": [_log(log) for log in _rows(day, "logs")],
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
    passes = log.passes.select_related("run").order_by("number")
    return {
        "instrument": log.instrument,
        "original_name": log.original_name,
        "sha256": log.sha256,
        "passes": [{"number": one.number, "run": one.run and one.run.number, "found": one.found} for one in passes],
    }


def more_of_run(run):
    """What a run carries beyond its result."""
    more = {
        "gust_mps": getattr(run, "gust_mps", None),
        "cones": getattr(run, "cones", None) or None,
        "roll_deg": getattr(run, "roll_deg", None),
        "wheel_lift": getattr(run, "wheel_lift", False) or None,
        "driver_stops": getattr(run, "driver_stops", False) or None,
        "photos": [photo.sha256 for photo in _rows(run, "photos")] or None,
    }
    return {name: value for name, value in more.items() if value is not None}


def more_of_statement(statement):
    """The driver's ratings, and the signatory's own word under the statement."""
    more = {}
    if ratings := getattr(statement, "ratings", None):
        more["ratings"] = ratings
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
        for row in _rows(job, "measurements")
    ]


def instruments_of(booking):
    """Instruments booked for the day, with the calibration that was valid then."""
    return [
        {
            "name": str(item),
            "kind": getattr(item, "kind", ""),
            "serial": getattr(item, "serial", ""),
            "calibrated_until": _day(getattr(item, "calibrated_until", None)),
        }
        for item in _rows(booking, "instruments")
    ]


def crew_of(booking):
    """Everybody booked beside the driver."""
    return [{"name": member.name} for member in _rows(booking, "crew")]


def _day(value):
    return value and value.isoformat()
