"""A case file that also speaks of the test day."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from tests.calculations.cases import EXAMPLE

ZONE = ZoneInfo("Australia/Sydney")
SYDNEY = {"time_zone": "Australia/Sydney", "latitude_deg": -33.87, "longitude_deg": 151.21}
COLUMNS = {
    "time": {"heading": "t", "unit": "s"},
    "x": {"heading": "x", "unit": "m"},
    "y": {"heading": "y", "unit": "m"},
    "speed": {"heading": "v", "unit": "km/h"},
    "lateral": {"heading": "a", "unit": "g"},
}
LOG = {"file": "run.csv", "columns": COLUMNS}
RUN = {"mass": "tm1", "aimed_kmh": 80, "measured_kmh": 80.4, "outcome": "clean"}


def hours(count, *, start="2026-03-02T00:00+11:00", windy=(), wet=()):
    """Calm, dry hours from a moment on, but for those by number."""
    first = datetime.fromisoformat(start)
    return [
        {
            "start": (first + timedelta(hours=n)).isoformat(),
            "wind_mps": 5.0 if n in windy else 1.5,
            "rain_mm": 1.0 if n in wet else 0.0,
        }
        for n in range(count)
    ]


def weather(count=24, *, place=True, windy=(), wet=(), **changed):
    known = SYDNEY if place else {"time_zone": "Australia/Sydney"}
    return {**known, "opens": "06:00", "closes": "18:00", "hours": hours(count, windy=windy, wet=wet)} | changed


def whole(**day):
    return EXAMPLE | day


def log_text(*, kmh=80.0, y_m=1.16, seconds=(-2.0, 8.0), rate_hz=50):
    """A straight pass at constant speed, as a CSV."""
    count = round((seconds[1] - seconds[0]) * rate_hz)
    rows = ["t,x,y,v,a"]
    for n in range(count):
        time = seconds[0] + n / rate_hz
        rows.append(f"{time + 2:.3f},{time * kmh / 3.6:.3f},{y_m},{kmh},0.0")
    return "\n".join(rows) + "\n"
