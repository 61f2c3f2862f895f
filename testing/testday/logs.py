"""From the file of an instrument to passes through the course, matched to the runs that were written down."""

import hashlib
from dataclasses import dataclass

from django.core.files.base import ContentFile
from django.db import transaction

from jobs.audit import record
from jobs.refused import Refused
from testing.testday import matching
from testing.testday.locking import locked
from testing.testday.models import ColumnMapping, LogFile, LoggedPass
from testing.testday.passes import passes_of
from testing.triage.canonical import plain
from vehicles.calculations import course_frame, log_formats
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.log_formats import LogProblem
from vehicles.calculations.log_formats_csv import Column, headings, read_csv
from vehicles.calculations.log_formats_gpx import read_gpx
from vehicles.calculations.log_formats_nmea import read_nmea


@dataclass(frozen=True, kw_only=True)
class Upload:
    """A file that was recognised: its kind, its bytes and their hash."""

    kind: str
    data: bytes
    sha256: str
    name: str


def recognise(upload):
    """What a file is. Size and first bytes decide before anything of it is read into memory."""
    upload.seek(0)
    head = upload.read(4096)
    try:
        kind = log_formats.kind_of(head, size=upload.size)
        upload.seek(0)
        data = upload.read()
        if kind == "csv":
            headings(log_formats.text_of(data))
    except LogProblem as problem:
        raise Refused(f"“{upload.name[:80]}”: {problem}") from problem
    return Upload(kind=kind, data=data, sha256=hashlib.sha256(data).hexdigest(), name=upload.name[-120:])


def remembered(instrument):
    """How the last file of this instrument was read, or an empty mapping."""
    mapping = ColumnMapping.objects.filter(instrument=instrument).first()
    return mapping.columns if mapping else {}


def fits(upload, columns):
    """Whether every remembered column is in this file."""
    names = headings(log_formats.text_of(upload.data))
    return bool(columns) and all(column["heading"] in names for column in columns.values())


def frame_of(day):
    """Where the course lay for the last log of this day, or None."""
    last = day.logs.exclude(reading={}).order_by("pk").last()
    return last and last.reading.get("frame")


def track_of(kind, data, columns):
    """The samples of a file. Raises Refused with the line."""
    try:
        if kind == "gpx":
            return read_gpx(data)
        text = log_formats.text_of(data)
        if kind == "nmea":
            return read_nmea(text)
        return read_csv(text, columns={name: Column(**column) for name, column in columns.items()})
    except LogProblem as problem:
        raise Refused(str(problem)) from problem


def on_course(track, frame):
    """Places along and across the course: as logged, or from the globe by two points of the baseline."""
    channels = track.channels
    if "x" in channels:
        return channels["x"], channels["y"]
    if not frame:
        raise Refused("Positions on the globe need the two points of the baseline: enter all four coordinates.")
    try:
        return course_frame.on_course(
            latitude_deg=channels["latitude"],
            longitude_deg=channels["longitude"],
            start=(frame["start_latitude"], frame["start_longitude"]),
            end=(frame["end_latitude"], frame["end_longitude"]),
        )
    except CalculationError as error:
        raise Refused(str(error)) from error


@dataclass(frozen=True, kw_only=True)
class Reading:
    """A file as it was read: how, its samples, and every pass through the course in them."""

    upload: Upload
    columns: dict
    frame: dict | None
    track: log_formats.Track
    passes: list


def read(*, day, upload, columns, frame):
    """Read a file, without keeping anything of it. Raises Refused when there is no pass in it."""
    track = track_of(upload.kind, upload.data, columns)
    found = passes_of(track, on_course(track, frame), day)
    if not found:
        raise Refused(
            f"“{upload.name}”: no pass through the course in it. A pass leads from before the start of section 1 to "
            "past the end of section 6; check the columns and the two points of the baseline."
        )
    return Reading(upload=upload, columns=columns, frame=frame, track=track, passes=found)


def pairs_of(day, reading):
    """Every pass of a reading, each with the run that it belongs to."""
    return matching.matched(day, reading.track, reading.passes)


@transaction.atomic
def take(*, day, by, reading, instrument, runs=None):
    """Keep a file with all its passes, or keep nothing of it.

    ``runs`` is the engineer's word on which pass, by its number, is which run; without it they are matched.
    """
    day, upload, columns = locked(day), reading.upload, reading.columns
    if day.booking.job.done:
        raise Refused("The file of the job is closed: nothing is added to it any more.")
    if day.logs.filter(sha256=upload.sha256).exists():
        raise Refused(f"“{upload.name}” is on this sheet already.")
    pairs = pairs_of(day, reading)
    log = LogFile.objects.create(
        day=day,
        by=by,
        instrument=instrument,
        original_name=upload.name,
        kind=upload.kind,
        file=ContentFile(upload.data, name="log"),
        sha256=upload.sha256,
        reading=plain({"columns": columns, "frame": reading.frame, "cautions": list(reading.track.cautions)}),
    )
    if upload.kind == "csv":
        ColumnMapping.objects.update_or_create(instrument=instrument, defaults={"columns": columns, "by": by})
    for pair in pairs:
        run = pair.run if runs is None else runs.get(pair.number)
        LoggedPass.objects.create(
            log=log, number=pair.number, run=run, starts_at=pair.starts_at, found=pair.found, by=by
        )
    by_hand = {} if runs is None else {"by_hand": {str(number): run and run.number for number, run in runs.items()}}
    record(
        day.booking.job, by, f"Log added: {log.original_name}"[:200], sha256=log.sha256, passes=len(pairs), **by_hand
    )
    return log
