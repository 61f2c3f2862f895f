from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
import pytest

from tests.benchmarks.clock import side_by_side
from vehicles.calculations.climatology import Record, chances
from vehicles.calculations.weather import Limits

SITES, HOURS, NEEDED, DRYING = 20, 8760, 4, 3

pytestmark = pytest.mark.benchmark


def year(sites=SITES, hours=HOURS):
    """A year of hourly weather at a number of sites, with a few hours not known."""
    random = np.random.default_rng(7)
    wind = random.gamma(2.0, 1.6, (sites, hours))
    wind[random.random((sites, hours)) < 0.01] = np.nan
    rain = np.where(random.random((sites, hours)) < 0.06, random.exponential(1.0, (sites, hours)), 0.0)
    clock = [datetime(2025, 1, 1, tzinfo=UTC) + timedelta(hours=n) for n in range(hours)]
    return Record(
        month=np.array([at.month for at in clock]),
        hour=np.array([at.hour for at in clock]),
        wind_mps=wind,
        rain_mm=rain,
    )


def by_pandas(frame):
    """The straightforward version: one rolling computation for each site, grouped by month and hour."""
    parts = {}
    ahead = pd.api.indexers.FixedForwardWindowIndexer(window_size=NEEDED)
    for site, rows in frame.groupby("site"):
        wet = rows.rain.gt(0).rolling(DRYING + 1, min_periods=1).max().gt(0)
        broken = rows.wind.gt(3.0) | wet
        sure = rows.wind.notna() & rows.rain.notna().rolling(DRYING + 1).min().eq(1)
        bad = broken.rolling(ahead, min_periods=NEEDED).max()
        known = sure.rolling(ahead, min_periods=NEEDED).min()
        judged = known == 1
        table = pd.DataFrame({"month": rows.month, "hour": rows.hour, "judged": judged, "good": judged & (bad == 0)})
        parts[site] = table.groupby(["month", "hour"])[["judged", "good"]].sum()
    return pd.concat(parts)


def framed(record):
    sites, hours = record.wind_mps.shape
    return pd.DataFrame(
        {
            "site": np.repeat(np.arange(sites), hours),
            "month": np.tile(record.month, sites),
            "hour": np.tile(record.hour, sites),
            "wind": record.wind_mps.ravel(),
            "rain": record.rain_mm.ravel(),
        }
    )


def test_a_year_at_twenty_sites_is_five_times_faster_than_rolling_windows_in_pandas():
    record = year()
    frame = framed(record)
    limits = Limits(drying_h=DRYING)
    ours, theirs = side_by_side(
        lambda: chances(record=record, limits=limits, hours_needed=NEEDED), lambda: by_pandas(frame)
    )
    found = chances(record=record, limits=limits, hours_needed=NEEDED)
    expected = by_pandas(frame)
    assert found.workable.sum() == expected.good.sum() > 0
    assert found.judged.sum() == expected.judged.sum()
    assert theirs >= 5 * ours


def test_time_grows_with_the_hours_and_no_faster():
    short, long = year(hours=HOURS // 4), year()
    quarter, whole = side_by_side(
        lambda: chances(record=short, limits=Limits(), hours_needed=NEEDED),
        lambda: chances(record=long, limits=Limits(), hours_needed=NEEDED),
    )
    assert whole <= 8 * quarter
