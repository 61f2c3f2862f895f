from io import StringIO

import pandas as pd
import pytest

from tests.benchmarks.clock import side_by_side
from tests.calculations.synthetic_run import COURSE, START_M, samples
from vehicles.calculations.manoeuvre import body
from vehicles.calculations.runlog import analyse, from_samples

BODY = body(width_m=1.885, length_m=4.825, front_overhang_m=0.9, wheelbase_m=2.79)

pytestmark = pytest.mark.benchmark


def minute(seconds=60):
    """A log at 100 Hz of a run at a held 60 km/h, its lead-out stretched to the length wanted."""
    channels = samples(speed_kmh=60, braking=0, noise=1, end_m=START_M + seconds * 60 / 3.6)
    return channels, pd.DataFrame(channels).to_csv(index=False)


def test_a_log_of_a_minute_takes_at_most_one_and_a_half_times_its_parsing():
    channels, text = minute()
    assert 5900 <= len(channels["time_s"]) <= 6100
    ours, parsing = side_by_side(
        lambda: analyse(log=from_samples(**channels), course=COURSE, body=BODY),
        lambda: pd.read_csv(StringIO(text)),
        rounds=15,
    )
    assert ours <= 1.5 * parsing


def test_time_grows_with_the_length_of_the_log_and_no_faster():
    short, long = minute(30)[0], minute(120)[0]
    a, b = side_by_side(
        lambda: analyse(log=from_samples(**short), course=COURSE, body=BODY),
        lambda: analyse(log=from_samples(**long), course=COURSE, body=BODY),
    )
    assert b <= 6 * a
