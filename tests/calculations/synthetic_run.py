"""Runs through the course with known answers: a smooth path driven at a known, falling speed."""

import numpy as np

from vehicles.calculations.course import lay_out
from vehicles.calculations.runlog import from_samples

COURSE = lay_out(width_mm=1885)
SIDE_M = 3.6
START_M = -80.0


def path(x):
    """Place y and its first two derivatives: over to the side lane between 12 and 48 m and back."""

    def step(start, end):
        s = np.clip((x - start) / (end - start), 0, 1)
        length = end - start
        value = s**3 * (10 - 15 * s + 6 * s**2)
        slope = 30 * s**2 * (1 - s) ** 2 / length
        bend = (60 * s - 180 * s**2 + 120 * s**3) / length**2
        return np.array([value, slope, bend])

    there, back = step(12.0, 48.0), step(67.0, 98.0)
    y, slope, bend = SIDE_M * (there - back)
    return 1.16 + y, slope, bend


def samples(*, speed_kmh=80.0, braking=0.5, rate_hz=100.0, noise=0.0, seed=1, end_m=200.0):
    """Channels of a run: speed falls by ``braking`` m/s² from speed_kmh at x = 0."""
    start_speed = np.sqrt((speed_kmh / 3.6) ** 2 - 2 * braking * START_M)
    end_speed = np.sqrt((speed_kmh / 3.6) ** 2 - 2 * braking * end_m)
    last = (start_speed - end_speed) / braking if braking else (end_m - START_M) / start_speed
    time = np.arange(0, last, 1 / rate_hz)
    x = START_M + start_speed * time - braking * time**2 / 2
    along = start_speed - braking * time
    y, slope, bend = path(x)
    random = np.random.default_rng(seed)
    speed = along * np.sqrt(1 + slope**2)
    # Across the path: braking acts along it and drops out.
    lateral = along**2 * bend / np.sqrt(1 + slope**2)
    return {
        "time_s": time,
        "x_m": x + noise * 0.02 * random.standard_normal(len(time)),
        "y_m": y + noise * 0.02 * random.standard_normal(len(time)),
        "speed_mps": speed + noise * 0.05 * random.standard_normal(len(time)),
        "lateral_mps2": lateral + noise * 0.3 * random.standard_normal(len(time)),
    }


def log(**how):
    return from_samples(**samples(**how))
