"""Synthetic logs with known answers, written in the three formats."""

from datetime import UTC, datetime, timedelta

import numpy as np

from vehicles.calculations.course_frame import metres_per_degree
from vehicles.calculations.log_formats_nmea import checksum
from vehicles.calculations.manoeuvre import demand

START = (-33.9, 150.6)
END = (-33.8, 150.6)  # due north: x grows to the north, y to the west
RIGHT_EDGES = {"start_latitude": START[0], "start_longitude": START[1], "end_latitude": -33.89, "end_longitude": 150.6}
LEAD_S, PAUSE_S = 4.0, 30.0


def path(speed_mps, *, rate_hz=100.0, sideways_m=3.45):
    """One pass at constant speed: time, x and y of a smooth double lane change through the middle of the lanes."""
    time = np.arange(-LEAD_S, 125 / speed_mps + LEAD_S, 1 / rate_hz)
    x = speed_mps * time
    y = 1.16 + sideways_m * (_smooth((x - 15) / 30) - _smooth((x - 70) / 25))
    return time, x, y


def _smooth(share):
    """From 0 to 1 with no jump of slope or curvature at either end."""
    share = np.clip(share, 0, 1)
    return share**3 * (10 - 15 * share + 6 * share**2)


def session(speeds_kmh, *, rate_hz=100.0, noise_m=0.0, seed=1, starts=None):
    """Several passes one after the other, the way back left out. Columns t, x, y, v, tilt."""
    rng = np.random.default_rng(seed)
    parts, clock = [], 0.0
    for n, kmh in enumerate(speeds_kmh):
        time, x, y = path(kmh / 3.6, rate_hz=rate_hz)
        begin = starts[n] if starts else clock
        parts.append(
            np.column_stack(
                [
                    time + LEAD_S + begin,
                    x + rng.normal(0, noise_m, len(x)) if noise_m else x,
                    y + rng.normal(0, noise_m, len(y)) if noise_m else y,
                    np.full(len(time), kmh),
                    4.2 * np.sin(x / 20),
                ]
            )
        )
        clock = parts[-1][-1, 0] + PAUSE_S
    return np.vstack(parts)


def driven(speeds_kmh, *, course, vehicle, rate_hz=100.0, loses=0.05, seed=3):
    """Passes as a good driver might drive them: the path that asks least, some speed lost, a noisy receiver."""
    rng = np.random.default_rng(seed)
    parts, clock = [], 0.0
    for demanded in demand(speeds_kmh=[int(kmh) for kmh in speeds_kmh], course=course, **vehicle):
        x, y = np.array(demanded.path).T
        entry = demanded.speed_kmh / 3.6
        along = np.arange(-LEAD_S * entry, x[-1] + LEAD_S * entry, entry / rate_hz)
        speed = entry * (1 - loses * np.clip(along / x[-1], 0, 1))
        time = np.concatenate([[0.0], np.cumsum(np.diff(along) / speed[1:])])
        across = np.interp(along, x, y) + rng.normal(0, 0.001, len(along))
        tilt = 3.4 * np.gradient(np.gradient(np.interp(along, x, y), along), along) * speed**2 / 9.81
        parts.append(np.column_stack([time + clock, along, across, speed * 3.6, _calmed(tilt)]))
        clock = parts[-1][-1, 0] + PAUSE_S
    return np.vstack(parts)


def _calmed(values, width=41):
    return np.convolve(values, np.ones(width) / width, mode="same")


def as_csv(rows, *, end="\n", header="Time (s),X (m),Y (m),GPS Speed (km/h),Tilt (deg)"):
    lines = [header, *(",".join(f"{value:.4f}" for value in row) for row in rows)]
    return (end.join(lines) + end).encode()


def on_globe(rows):
    """Latitude and longitude of rows laid out along START to END."""
    north, east = metres_per_degree(latitude_deg=START[0])
    return START[0] + rows[:, 1] / north, START[1] - rows[:, 2] / east


def as_gpx(rows, began):
    latitude, longitude = on_globe(rows)
    points = [
        f'<trkpt lat="{lat:.9f}" lon="{lon:.9f}"><time>{(began + timedelta(seconds=t)).isoformat()}</time></trkpt>'
        for lat, lon, t in zip(latitude, longitude, rows[:, 0], strict=True)
    ]
    return (
        '<?xml version="1.0"?>\n<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">\n'
        "<trk><trkseg>\n" + "\n".join(points) + "\n</trkseg></trk></gpx>\n"
    ).encode()


def as_nmea(rows, began):
    latitude, longitude = on_globe(rows)
    lines = []
    for lat, lon, row in zip(latitude, longitude, rows, strict=True):
        moment = (began + timedelta(seconds=float(row[0]))).astimezone(UTC)
        clock = f"{moment:%H%M%S}.{moment.microsecond // 10000:02d}"
        body = f"GPRMC,{clock},A,{_dm(lat, 2)},S,{_dm(lon, 3)},E,{row[3] / 1.852:.3f},0.0,{moment:%d%m%y},,"
        lines.append(f"${body}*{checksum(body):02X}")
    return ("\r\n".join(lines) + "\r\n").encode()


def _dm(degrees, digits):
    whole, part = divmod(abs(degrees), 1)
    return f"{int(whole):0{digits}d}{part * 60:09.6f}"


EPOCH = datetime(2026, 12, 2, tzinfo=UTC)
