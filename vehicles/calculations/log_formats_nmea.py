"""NMEA 0183: RMC sentences of any talker, with their checksums."""

from datetime import UTC, datetime

from .log_formats import MOST_ROWS, LogProblem, Track

KNOT_MPS = 1852 / 3600
# A line that noise has broken is left out and counted; more than this share and it is not a log.
MOST_BROKEN = 0.1


def checksum(body: str) -> int:
    """Exclusive or of all characters between $ and *.

    Parameters: the sentence between them. Returns: 0 to 255 [-].

    >>> f"{checksum('GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W'):02X}"
    '6A'

    Source: NMEA 0183; the sentence is a widely printed example.
    """
    found = 0
    for sign in body.encode():
        found ^= sign
    return found


def read_nmea(text: str) -> Track:
    """Position and speed from the RMC sentences of a file; other sentences are passed over.

    Parameters: the text. Returns: Track with latitude, longitude [°] and speed [m/s]. Sentences with a
    wrong checksum, without one, or without a fix are left out and counted in ``cautions``.
    Raises LogProblem, naming the line, when more than a tenth is broken or nothing is left.

    >>> said = "GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W"
    >>> later = said.replace("123519", "123520")
    >>> track = read_nmea("".join(f"${one}*{checksum(one):02X}\\n" for one in (said, later)))
    >>> track.channels["speed"].round(2).tolist()
    [11.52, 11.52]

    Source: NMEA 0183, sentence RMC.
    """
    import numpy as np

    rows: dict[float, tuple[float, float, float]] = {}
    sentences = broken = unfixed = first_broken = 0
    for line, sentence in enumerate(text.split("\n"), start=1):
        if not sentence.strip():
            continue
        sentences += 1
        body = _sound(sentence.strip())
        if body is None:
            broken += 1
            first_broken = first_broken or line
            continue
        if body[2:5] != "RMC":
            continue
        fields = body.split(",")
        if len(fields) < 10:
            raise LogProblem("an RMC sentence with fewer than ten fields", line)
        if fields[2] != "A":
            unfixed += 1
            continue
        rows.setdefault(_moment(fields, line), _fix(fields, line))
        if len(rows) > MOST_ROWS:
            raise LogProblem(f"more than {MOST_ROWS:,} positions", line)
    if broken > MOST_BROKEN * sentences:
        raise LogProblem(f"{broken} of {sentences} lines are broken (checksum); the first is here", first_broken)
    if len(rows) < 2:
        raise LogProblem("fewer than two RMC sentences with a fix")
    moments = sorted(rows)
    latitude, longitude, speed = (np.array([rows[moment][n] for moment in moments]) for n in range(3))
    time = np.array(moments)
    counts = ((broken, "lines with a wrong checksum"), (unfixed, "sentences without a fix"))
    return Track(
        time_s=time - time[0],
        epoch_s=float(time[0]),
        channels={"latitude": latitude, "longitude": longitude, "speed": speed},
        cautions=tuple(f"{count} {words} are left out" for count, words in counts if count),
    )


def _sound(sentence: str) -> str | None:
    """What stands between $ and *, or None when the checksum does not hold."""
    start, _, given = sentence.partition("*")
    if not start.startswith("$") or len(start) < 7 or len(given) != 2:
        return None
    try:
        return start[1:] if int(given, 16) == checksum(start[1:]) else None
    except ValueError:
        return None


def _moment(fields: list[str], line: int) -> float:
    clock, date = fields[1], fields[9]
    try:
        # A leap second is written as 60; everything else that does not fit is a broken clock.
        minute = int(clock[:2]), int(clock[2:4])
        day = datetime(2000 + int(date[4:6]), int(date[2:4]), int(date[:2]), *minute, tzinfo=UTC)
        seconds = float(clock[4:])
        if not 0 <= seconds < 61:
            raise ValueError(f"{seconds} seconds")
    except ValueError as error:
        raise LogProblem(f"time “{clock[:12]}” of date “{date[:8]}” is not hhmmss.ss and ddmmyy", line) from error
    return day.timestamp() + seconds


def _fix(fields: list[str], line: int) -> tuple[float, float, float]:
    try:
        latitude = _degrees(fields[3], 2) * {"N": 1, "S": -1}[fields[4]]
        longitude = _degrees(fields[5], 3) * {"E": 1, "W": -1}[fields[6]]
        speed = float(fields[7]) * KNOT_MPS
    except (ValueError, KeyError) as error:
        raise LogProblem("an RMC sentence whose place or speed cannot be read", line) from error
    if not (abs(latitude) <= 90 and abs(longitude) <= 180 and 0 <= speed <= 80):
        raise LogProblem("a place off the globe or a speed above 80 m/s", line)
    return latitude, longitude, speed


def _degrees(text: str, digits: int) -> float:
    minutes = float(text[digits:])
    if not 0 <= minutes <= 60:
        raise ValueError(f"{minutes} minutes")
    return int(text[:digits]) + minutes / 60
