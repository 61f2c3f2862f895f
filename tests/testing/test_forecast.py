"""The forecast of a site, hour by hour in its own zone."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone

from testing.models import ForecastHour
from testing.scheduling import forecast as forecasts
from tests.factories import SiteFactory
from tests.scheduling_factories import in_days, keep_weather, level_site
from vehicles.calculations import weather

pytestmark = pytest.mark.django_db


def page(site, **query):
    return reverse("testing:forecast", args=[site.pk]), query


def lines(response, day):
    return next(strip.usable for strip, *_ in response.context["days"] if strip.day == day)


def look(as_, user, site, day=None):
    url, query = page(site, **({"day": day.isoformat()} if day else {}))
    return as_(user).get(url, query)


def test_hours_in_the_sites_zone_with_verdict_and_reason(as_, desk, engineer):
    site, day = level_site(time_zone="Australia/Perth"), in_days(20)
    keep_weather(site, day, by=engineer, h08={"wind_mps": 3.4}, h16={"rain_mm": 1.0})
    response = look(as_, desk, site, day)
    found = {f"{line.at:%H:%M}": line for line in lines(response, day)}
    assert (min(found), max(found), len(found)) == ("06:00", "17:00", 12)
    assert found["06:00"].verdict == "met"
    assert found["08:00"].verdict == "not_met"
    assert found["16:00"].reasons == ("rain in this hour (1.0 mm), surface taken as wet for 3 h",)
    assert found["17:00"].verdict == "not_met"
    text = response.content.decode()
    assert '00:00 <span class="pale">AWST</span>' in text
    assert "wind 3.4 m/s is over 3 m/s" in text


def test_rain_before_the_site_opens_counts(as_, desk, engineer):
    site, day = level_site(), in_days(20)
    keep_weather(site, day, by=engineer, h05={"rain_mm": 0.4})
    by_hour = {f"{line.at:%H}": line.verdict for line in lines(look(as_, desk, site, day), day)}
    assert [by_hour[hour] for hour in ("06", "07", "08", "09")] == ["not_met", "not_met", "not_met", "met"]


def test_a_missing_hour_is_unknown(as_, desk, engineer):
    site, day = level_site(), in_days(20)
    keep_weather(site, day, by=engineer, hours=12)
    found = {f"{line.at:%H}": line.verdict for line in lines(look(as_, desk, site, day), day)}
    assert (found["11"], found["12"]) == ("met", "unknown")


def test_an_empty_forecast_says_what_to_do(as_, engineer, desk):
    site = level_site()
    assert "Type its hours" in look(as_, engineer, site).content.decode()
    response = look(as_, desk, site)
    assert "Nothing is entered" in response.content.decode()
    assert "Type its hours" not in response.content.decode()


@pytest.mark.parametrize("day", ["", "tomorrow", "2026-02-30", "0001-01-01", "9999-12-31", "1990-01-01", "9" * 3000])
def test_a_day_that_is_nonsense_shows_today(as_, desk, day):
    site = level_site()
    response = as_(desk).get(page(site)[0], {"day": day})
    assert response.status_code == 200
    assert response.context["days"][0][0].day.year >= 2026


def test_a_site_that_does_not_exist(as_, desk):
    for pk in (999, 10**30):
        assert as_(desk).get(f"/planner/sites/{pk}/forecast/").status_code == 404


@pytest.mark.parametrize(
    ("day", "zone", "count"),
    [
        # Source: IANA time zone database. Clocks back in NSW on 5 April 2026, forward on 4 October 2026.
        (date(2026, 4, 5), "Australia/Sydney", 7),
        (date(2026, 10, 4), "Australia/Sydney", 5),
        (date(2026, 4, 5), "Australia/Brisbane", 6),
        (date(2026, 10, 4), "Australia/Brisbane", 6),
    ],
)
def test_the_days_on_which_the_clocks_change(day, zone, count):
    site = SiteFactory.build(time_zone=zone, opens=time(0), closes=time(6))
    (strip,) = forecasts.strip(site, first_day=day, days=1, limits=weather.Limits(), rows=[])
    assert len(strip.usable) == count
    assert len({line.at.astimezone(ZoneInfo("UTC")) for line in strip.usable}) == count


def test_an_hour_counts_when_the_site_is_open_for_all_of_it():
    site = SiteFactory.build(opens=time(6, 30), closes=time(8, 30))
    (strip,) = forecasts.strip(site, first_day=date(2026, 12, 3), days=1, limits=weather.Limits(), rows=[])
    assert [f"{line.at:%H}" for line in strip.usable] == ["07"]


def test_windows_and_their_reasons_stand_on_the_page(as_, desk, engineer):
    site, day = level_site(), in_days(20)
    keep_weather(site, day, by=engineer, h10={"wind_mps": 4.5})
    response = look(as_, desk, site, day)
    (strip,) = (strip for strip, *_ in response.context["days"] if strip.day == day)
    assert [(f"{w.start:%H}", w.hours) for w in strip.windows] == [("06", 4), ("11", 7)]
    page = response.content.decode()
    assert "06:00 to 10:00" in page
    assert "Daylight is not judged" in page


def test_dark_hours_are_no_window_where_the_place_is_known(as_, desk, engineer):
    """Sydney on 20 May: the sun rises at 06:46 and sets at 16:58 (public almanac, from memory, 90 % sure)."""
    site = level_site(latitude_deg=-33.87, longitude_deg=151.21, opens=time(5), closes=time(20))
    day = date(2027, 5, 20)
    keep_weather(site, day, by=engineer)
    (strip,) = forecasts.strip(site, first_day=day, days=1, limits=forecasts.limits_under())
    assert [(f"{w.start:%H:%M}", f"{w.end:%H:%M}") for w in strip.windows] == [("07:00", "16:00")]
    assert "no daylight" in strip.lines[6].reasons


def test_an_old_forecast_is_marked_as_stale(as_, desk, engineer):
    site = level_site()
    keep_weather(site, in_days(2), by=engineer)
    assert "Stale." not in look(as_, desk, site).content.decode()
    ForecastHour.objects.update(entered_at=timezone.now() - timedelta(hours=13))
    assert "Stale." in look(as_, desk, site).content.decode()


@pytest.mark.parametrize(
    ("day", "zone", "hours", "ends"),
    [
        # Clocks back in NSW on 5 April 2026 and forward on 4 October 2026; none change in Queensland (IANA).
        (date(2026, 4, 5), "Australia/Sydney", 7, "06:00"),
        (date(2026, 10, 4), "Australia/Sydney", 5, "06:00"),
        (date(2026, 4, 5), "Australia/Brisbane", 6, "06:00"),
        (date(2026, 10, 4), "Australia/Brisbane", 6, "06:00"),
    ],
)
def test_windows_have_their_real_length_on_a_weekend_of_changing_clocks(day, zone, hours, ends):
    site = SiteFactory.build(time_zone=zone, opens=time(0), closes=time(6))
    first = datetime.combine(day, time(0), tzinfo=site.zone).astimezone(UTC) - timedelta(hours=6)
    rows = [ForecastHour(site=site, starts_at=first + timedelta(hours=n), wind_mps=1.0, rain_mm=0.0) for n in range(40)]
    (strip,) = forecasts.strip(site, first_day=day, days=1, limits=weather.Limits(), rows=rows)
    (window,) = strip.windows
    assert (window.hours, f"{window.start:%H:%M}", f"{window.end:%H:%M}") == (hours, "00:00", ends)
