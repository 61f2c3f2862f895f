"""Reading the files of instruments: CSV, GPX 1.1 and NMEA 0183, from bytes to numbers in SI units."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

LARGEST_MB = 40
MOST_ROWS = 2_000_000
# What text of an instrument may consist of: anything else in the first bytes is not a log.
_CONTROL = bytes(range(9)) + bytes(range(14, 32)) + b"\x7f"
_LOOKED_AT = 4096
# Loggers that lost their clock count from 1970 or 1980; nothing of this century is older.
_YEARS = range(1970, 2100)


class LogProblem(ValueError):
    """A file that cannot be read. ``line`` counts from 1; None where no line is to blame."""

    def __init__(self, text: str, line: int | None = None) -> None:
        super().__init__(f"Line {line}: {text}" if line else text)
        self.line = line


@dataclass(frozen=True, kw_only=True)
class Track:
    """Samples of one file, each channel an array of one length, or absent.

    ``time_s`` counts from the first sample; ``epoch_s`` is the moment of that sample [s since 1970],
    None when the file has no date. Places are either on the globe [°] or on the course [m]; speed in
    m/s, lateral acceleration in m/s² to the left, tilt in degrees.
    """

    time_s: "Numbers"
    epoch_s: float | None = None
    channels: "Mapping[str, Numbers]"
    cautions: tuple[str, ...] = ()


def kind_of(head: bytes, *, size: int) -> str:
    """Which of the three formats a file is, from its first bytes: csv, gpx or nmea.

    Parameters: the first 4 kB or more; size of the whole file [bytes]. Returns: the format.
    Raises LogProblem for a file that is empty, larger than 40 MB, or no text.

    >>> kind_of(b"$GPRMC,123519,A,4807.038,N", size=100)
    'nmea'

    Source: the first characters that each format asks for.
    """
    if size > LARGEST_MB * 1_000_000:
        raise LogProblem(f"The file has {size / 1e6:.0f} MB; allowed are {LARGEST_MB} MB.")
    if not head.strip():
        raise LogProblem("The file is empty.")
    start = head[:_LOOKED_AT]
    if start.translate(None, _CONTROL) != start:
        raise LogProblem("This is no text, so no log: allowed are CSV, GPX 1.1 and NMEA 0183.")
    text = start.removeprefix(b"\xef\xbb\xbf").lstrip()
    if text.startswith(b"<"):
        return "gpx"
    if text.startswith((b"$", b"!")):
        return "nmea"
    return "csv"


def text_of(data: bytes) -> str:
    """The text of a file with line ends made one. Raises LogProblem, naming the line, where it is no UTF-8.

    Parameters: the bytes. Returns: the text [-].

    >>> text_of(b"a\\r\\nb\\rc\\n")
    'a\\nb\\nc\\n'

    Source: our own rule.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise LogProblem("a byte that is no text (UTF-8 is allowed)", line) from error
    if "\x00" in text:
        raise LogProblem("a zero byte", text[: text.index("\x00")].count("\n") + 1)
    return text.replace("\r\n", "\n").replace("\r", "\n")


def epoch_of(text: str, *, like: str, line: int) -> float:
    """Seconds since 1970 of a date and time with its zone.

    Parameters: the text, a text that would do, its line. Returns: time [s]. Raises LogProblem, naming
    the line, for a text that is no such moment, has no zone, or lies outside the years 1970 to 2099.

    >>> epoch_of("1970-01-01T01:00:00.5+01:00", like="", line=1)
    0.5

    Source: ISO 8601.
    """
    try:
        moment = datetime.fromisoformat(text)
    except ValueError as error:
        raise LogProblem(f"time “{text[:40]}” is not like {like}", line) from error
    if moment.tzinfo is None:
        raise LogProblem(f"time “{text[:40]}” does not say its zone, such as Z or +11:00", line)
    if moment.year not in _YEARS:
        raise LogProblem(f"time “{text[:40]}” is outside the years {_YEARS[0]} to {_YEARS[-1]}", line)
    return moment.timestamp()
