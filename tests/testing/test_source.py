"""The forecast service over HTTP, against a server of our own that is slow, wrong, empty or huge."""

import contextlib
import json
import threading
import time
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from django.utils import timezone

from testing.models import ForecastFetch, ForecastHour
from testing.scheduling import refresh, source
from tests.scheduling_factories import in_days, keep_weather, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db


class Service:
    """A forecast service that answers as told, and counts how often it was asked."""

    def __init__(self):
        self.asked, self.answers = [], []
        service = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self):
                service.asked.append(self.path)
                answer = service.answers[min(len(service.asked), len(service.answers)) - 1]
                # The one who asked may have gone, as the test wants.
                with contextlib.suppress(BrokenPipeError, ConnectionResetError):
                    answer(self)

            def log_message(self, *args):
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        self.url = f"http://127.0.0.1:{self.server.server_port}/v1?lat={{latitude}}&lon={{longitude}}"
        threading.Thread(target=self.server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True).start()

    def close(self):
        self.server.shutdown()
        self.server.server_close()


def says(body, status=200):
    data = body if isinstance(body, bytes) else json.dumps(body).encode()

    def answer(handler):
        handler.send_response(status)
        handler.send_header("Content-Length", str(len(data)))
        handler.end_headers()
        handler.wfile.write(data)

    return answer


def dribbles(handler):
    """Never silent for long, and never done: a limit for each piece would wait for ever."""
    handler.send_response(200)
    handler.send_header("Content-Length", "1000000")
    handler.end_headers()
    for _ in range(100):
        handler.wfile.write(b" ")
        handler.wfile.flush()
        time.sleep(0.05)


def silent(handler):
    time.sleep(1.5)


def hourly(**changed):
    first = datetime.combine(in_days(1), datetime.min.time())
    return {
        "utc_offset_seconds": 0,
        "hourly_units": {"wind_speed_10m": "km/h", "wind_gusts_10m": "km/h", "precipitation": "mm"},
        "hourly": {
            "time": [f"{first + timedelta(hours=n):%Y-%m-%dT%H:%M}" for n in range(48)],
            "wind_speed_10m": [10.8] * 48,
            "wind_gusts_10m": [18.0] * 47 + [None],
            "precipitation": [0.0] * 48,
            **changed,
        },
    }


@pytest.fixture
def service(settings):
    service = Service()
    settings.FORECAST_URL = service.url
    settings.FORECAST_TIMEOUT_S = 0.4
    yield service
    service.close()


@pytest.fixture
def site(db):
    return level_site(latitude_deg=-33.87, longitude_deg=151.21)


def problem(site):
    with pytest.raises(source.NoForecast) as said:
        source.ask(site, pause_s=0)
    return str(said.value)


def test_hours_come_in_with_their_units(service, site):
    """10.8 km/h is 3 m/s (FACTS 8)."""
    service.answers = [says(hourly())]
    assert refresh.refresh(site) == ""
    assert service.asked == ["/v1?lat=-33.8700&lon=151.2100"]
    hour = site.forecast.first()
    assert (hour.wind_mps, hour.gust_mps, hour.rain_mm) == (3.0, 5.0, 0.0)
    assert hour.starts_at == datetime.combine(in_days(1), datetime.min.time(), tzinfo=UTC)
    assert (site.forecast.count(), hour.origin, hour.entered_by) == (48, "forecast service", None)
    assert site.fetch.fetched_at


def test_the_offset_of_the_answer_counts(service, site):
    service.answers = [says({**hourly(), "utc_offset_seconds": 36000})]
    refresh.refresh(site)
    assert site.forecast.first().starts_at == datetime.combine(in_days(1), datetime.min.time(), tzinfo=UTC) - timedelta(
        hours=10
    )


def stamped(site, **columns):
    """What is kept by hour of the day, from an answer in the site's own clock whose hours run from 03:00 to 12:00."""
    day = in_days(1)
    body = {
        "utc_offset_seconds": datetime.combine(day, datetime.min.time(), tzinfo=site.zone).utcoffset().total_seconds(),
        "hourly_units": {"wind_speed_10m": "m/s", "wind_gusts_10m": "m/s", "precipitation": "mm"},
        "hourly": {"time": [f"{day}T{hour:02d}:00" for hour in range(3, 13)], "wind_speed_10m": [1.0] * 10, **columns},
    }
    found = source.parse(json.dumps(body), zone=site.zone)
    return {reading.starts_at.astimezone(site.zone).hour: reading for reading in found}


# Source: Open-Meteo, Weather Forecast API, "Hourly Parameter Definition": precipitation "Preceding hour sum",
# wind_gusts_10m "Preceding hour max", wind_speed_10m "Instant".
def test_rain_and_gust_are_of_the_hour_before_their_time(site):
    at_ten = [0.0] * 7 + [2.0, 0.0, 0.0]
    kept = stamped(site, precipitation=at_ten, wind_gusts_10m=at_ten)
    assert [hour for hour, reading in kept.items() if reading.rain_mm] == [9]
    assert [hour for hour, reading in kept.items() if reading.gust_mps] == [9]


def test_rain_that_falls_before_a_booking_ends_speaks_against_it(site):
    """2 mm stamped 10:00 fall from 09:00 to 10:00, which is in a booking from 07:00 to 10:00."""
    from vehicles.calculations import weather

    kept = stamped(site, precipitation=[0.0] * 7 + [2.0, 0.0, 0.0])
    hours = [
        weather.Hour(start=one.starts_at.astimezone(site.zone), wind_mps=one.wind_mps, rain_mm=one.rain_mm)
        for one in kept.values()
    ]
    start, end = (datetime.combine(in_days(1), datetime.min.time(), tzinfo=site.zone).replace(hour=h) for h in (7, 10))
    judged = weather.judge(hours=hours, start=start, end=end, limits=weather.Limits())
    assert judged.need == "not_met"
    assert judged.reasons == ("09:00: rain in this hour (2.0 mm), surface taken as wet for 3 h",)


def test_an_hour_has_the_stronger_wind_of_both_its_ends(site):
    kept = stamped(site, wind_speed_10m=[1.0] * 7 + [4.0, None, 1.0])
    assert [kept[hour].wind_mps for hour in (8, 9, 10, 11)] == [1.0, 4.0, None, None]


def test_rain_and_gust_of_the_last_hour_are_not_told(site):
    kept = stamped(site, precipitation=[0.0] * 10, wind_gusts_10m=[2.0] * 10)
    assert (kept[12].rain_mm, kept[12].gust_mps, kept[12].wind_mps) == (None, None, 1.0)
    assert (kept[11].rain_mm, kept[11].gust_mps) == (0.0, 2.0)
    assert 2 not in kept


@pytest.mark.parametrize("answer", [silent, dribbles], ids=["silent", "dribbling"])
def test_a_slow_service_is_given_up_after_the_limit(service, site, answer):
    service.answers = [answer]
    began = time.monotonic()
    assert problem(site) == "no answer within 0.4 s"
    assert time.monotonic() - began < 3 * 0.4 + 1.5
    assert len(service.asked) == source.TRIES


def test_what_passes_by_itself_is_tried_again(service, site):
    service.answers = [says(b"", status=503), says(b"", status=502), says(hourly())]
    assert len(source.ask(site, pause_s=0)) == 48


def test_what_does_not_pass_by_itself_is_not(service, site):
    service.answers = [says(b"", status=404)]
    assert problem(site) == "the service answered 404"
    assert len(service.asked) == 1


def test_a_huge_answer_is_not_read_to_its_end(service, site):
    service.answers = [says(b" " * 3_000_000)]
    assert "larger than 2,000,000 bytes" in problem(site)


@pytest.mark.parametrize(
    "body",
    [
        b"", b"<html>", b"[]", b"null", b"{}", b'{"hourly": []}', b'{"hourly": {"time": []}}', b"[" * 100_000,
        b'{"hourly": {"time": 3}}', b'{"hourly": {"time": [1]}, "utc_offset_seconds": 1e400}', b"\xff\xfe",
    ],
)  # fmt: skip
def test_an_answer_that_is_no_forecast(service, site, body):
    service.answers = [says(body)]
    assert problem(site)
    assert not ForecastHour.objects.exists()


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"wind_speed_10m": [1.0]}, "not one value for each hour"),
        ({"wind_speed_10m": ["calm"] * 48}, "not a number"),
        ({"wind_speed_10m": [True] * 48}, "not a number"),
        ({"wind_speed_10m": [-1.0] * 48}, "outside"),
        ({"wind_speed_10m": [9000.0] * 48}, "outside"),
        ({"wind_speed_10m": None}, "not one value for each hour"),
        ({"precipitation": [1e9] * 48}, "outside"),
        ({"time": ["2026-12-03T06:30"] * 48}, "not a full hour"),
        ({"time": ["2026-12-03T06:00"] * 48}, "not a full hour of its own"),
        ({"time": ["soon"] * 48}, "cannot be read"),
        ({"time": ["2026-12-03T06:00"] * 2000}, "2,000 hours"),
    ],
)
def test_wrong_values_are_named_and_nothing_is_half_taken(service, site, changed, why):
    service.answers = [says(hourly(**changed))]
    assert why in problem(site)
    assert not ForecastHour.objects.exists()


def test_a_unit_is_never_guessed(service, site):
    service.answers = [says({**hourly(), "hourly_units": {}})]
    assert "not a unit that is known here" in problem(site)


def test_a_service_that_is_not_there(settings, site):
    settings.FORECAST_URL = "http://127.0.0.1:9/{latitude}/{longitude}"
    assert "cannot be reached" in problem(site)


@pytest.mark.parametrize("url", ["file:///etc/passwd", "ftp://host/{latitude}", "http://host/{place}", "http://{0}"])
def test_an_address_that_is_unusable(settings, site, url):
    settings.FORECAST_URL = url
    assert "the address in the settings" in problem(site)


def test_a_site_without_a_place(service):
    assert "latitude and longitude" in problem(level_site())


def test_a_failure_keeps_what_was_known_and_says_so(as_, service, site, engineer, desk):
    keep_weather(site, in_days(1), by=engineer)
    service.answers = [says(b"", status=404)]
    as_(engineer).post(f"/planner/sites/{site.pk}/forecast/fetch/")
    assert site.forecast.count() == 24
    page = as_(desk).get(f"/planner/sites/{site.pk}/forecast/").content.decode()
    assert "The forecast service gave nothing" in page
    assert "the service answered 404" in page


def test_it_is_off_unless_an_address_is_set(as_, engineer, site):
    assert not source.is_on()
    assert list(refresh.refresh_all()) == []
    page = as_(engineer).post(f"/planner/sites/{site.pk}/forecast/fetch/", follow=True).content.decode()
    assert "No forecast service is set up" in page
    assert "Ask the forecast service" not in page


def test_a_site_is_asked_about_once_an_hour(service, site):
    service.answers = [says(hourly())]
    assert len(list(refresh.refresh_all())) == 1
    assert list(refresh.refresh_all()) == []
    ForecastFetch.objects.update(tried_at=timezone.now() - timedelta(minutes=61))
    assert len(list(refresh.refresh_all())) == 1


def test_a_forecast_that_turns_puts_the_booking_at_risk(service, site, engineer):
    from testing.scheduling import services

    job = ready_job()
    services.book(by=engineer, job=job, **wanted(site=site, day=in_days(1), clock="08:00"))
    service.answers = [says(hourly(wind_speed_10m=[30.0] * 48))]
    refresh.refresh(site)
    booking = services.standing_booking(job)
    assert "over 3 m/s" in booking.risk
    assert booking.at_risk_since
