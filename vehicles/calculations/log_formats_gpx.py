"""GPX 1.1: track points with time. No entities, no documents of others."""

from typing import TYPE_CHECKING
from xml.parsers import expat

from .log_formats import MOST_ROWS, LogProblem, Track, epoch_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

NAMESPACE = "http://www.topografix.com/GPX/1/1"
_SPACE = NAMESPACE + " "


class _Reader:
    """Collects track points while the parser walks through the file."""

    def __init__(self) -> None:
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.parser.CharacterDataHandler = self.text
        # A declared entity can grow a small file to gigabytes or fetch another: none has a place in a track.
        self.parser.EntityDeclHandler = self.refuse
        self.parser.StartDoctypeDeclHandler = self.refuse
        self.parser.ExternalEntityRefHandler = self.refuse
        self.points: list[tuple[float, float, float, float | None]] = []
        self.place: tuple[float, float] | None = None
        self.moment: float | None = None
        self.speed: float | None = None
        self.inside = ""
        self.said: list[str] = []
        self.rooted = False

    @property
    def line(self) -> int:
        return self.parser.CurrentLineNumber

    def refuse(self, *declared: object) -> int:
        raise LogProblem("a document type or entity is declared; a track needs none", self.line)

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if not self.rooted:
            if name != _SPACE + "gpx" or attributes.get("version") != "1.1":
                raise LogProblem('no GPX 1.1: the first element is not <gpx version="1.1"> of that standard', self.line)
            self.rooted = True
        if name == _SPACE + "trkpt":
            self.place, self.moment, self.speed = self.where(attributes), None, None
        short = name.rpartition(" ")[2]
        self.inside = short if self.place and short in ("time", "speed") else ""
        self.said = []

    def where(self, attributes: dict[str, str]) -> tuple[float, float]:
        try:
            latitude, longitude = float(attributes["lat"]), float(attributes["lon"])
        except (KeyError, ValueError) as error:
            raise LogProblem("a track point without a latitude and longitude in degrees", self.line) from error
        if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
            raise LogProblem(f"{latitude:g}, {longitude:g} is no place on the globe", self.line)
        return latitude, longitude

    def text(self, said: str) -> None:
        if self.inside:
            self.said.append(said)

    def end(self, name: str) -> None:
        said = "".join(self.said).strip()
        if self.inside == "time" and name == _SPACE + "time":
            self.moment = self.clock(said)
        elif self.inside == "speed":
            self.speed = self.number(said)
        self.inside, self.said = "", []
        if name == _SPACE + "trkpt" and self.place:
            if self.moment is None:
                raise LogProblem("a track point without a time", self.line)
            self.points.append((self.moment, *self.place, self.speed))
            self.place = None
            if len(self.points) > MOST_ROWS:
                raise LogProblem(f"more than {MOST_ROWS:,} points", self.line)

    def clock(self, said: str) -> float:
        return epoch_of(said, like="2026-12-02T21:10:00.25Z", line=self.line)

    def number(self, said: str) -> float:
        try:
            return float(said)
        except ValueError as error:
            raise LogProblem(f"speed “{said[:40]}” is no number", self.line) from error


def read_gpx(data: bytes) -> Track:
    """Track points of a GPX 1.1 file.

    Parameters: the bytes. Returns: Track with latitude and longitude [°]; speed [m/s] where every point
    carries one in its extensions. Raises LogProblem, naming the line, for anything that is no GPX 1.1.

    >>> point = '<trkpt lat="-33.8" lon="150.9"><time>2026-03-02T07:00:0{}Z</time></trkpt>'
    >>> points = "".join(point.format(second) for second in range(2))
    >>> space = "http://www.topografix.com/GPX/1/1"
    >>> file = f'<gpx version="1.1" xmlns="{space}"><trk><trkseg>{points}</trkseg></trk></gpx>'
    >>> read_gpx(file.encode()).time_s.tolist()
    [0.0, 1.0]

    Source: GPX 1.1 schema.
    """
    import numpy as np

    reader = _Reader()
    try:
        reader.parser.Parse(data, True)
    except expat.ExpatError as error:
        raise LogProblem(f"no XML: {expat.errors.messages[error.code]}", error.lineno) from error
    if len(reader.points) < 2:
        raise LogProblem("fewer than two track points")
    # Segments of one file may come in any order; a repeated moment is the same fix.
    rows = sorted({point[0]: point for point in reader.points}.values())
    time, latitude, longitude = (np.array([row[n] for row in rows], dtype=np.float64) for n in range(3))
    channels = {"latitude": latitude, "longitude": longitude}
    speeds = [row[3] for row in rows]
    if all(speed is not None for speed in speeds):
        channels["speed"] = np.array(speeds, dtype=np.float64)
        if not ((channels["speed"] >= 0) & (channels["speed"] <= 80)).all():
            raise LogProblem("a speed outside 0 to 80 m/s: the extension is not in m/s")
    return Track(time_s=time - time[0], epoch_s=float(time[0]), channels=channels)
