"""Figures of the business, held against small numbers counted by hand."""

import csv
import statistics
from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from certificates.demo.clock import at
from jobs import stages
from jobs.estimates import decisions, money, versions
from jobs.models import Job
from jobs.overview import figures, of_jobs
from jobs.overview.plot import plot
from testing import overview as of_testing
from testing.models import Booking, DriverStatement, TestDay
from tests.factories import CrewMemberFactory, JobFactory, SiteFactory
from tests.owner_side import workshop

pytestmark = pytest.mark.django_db

YEAR = figures.Period(first=date(2026, 1, 1), last=date(2026, 12, 31))


def bars(figure):
    return {bar.label: (bar.value, bar.count) for bar in figure.bars}


# Source: Python's statistics module; nearest-rank percentile by hand below.
@given(values=st.lists(st.integers(0, 1000), min_size=1))
def test_the_median_is_the_one_of_the_standard_library(values):
    assert figures.median(values) == statistics.median(values)


@pytest.mark.parametrize(("values", "nine"), [([5], 5), (range(1, 11), 9), (range(1, 21), 18), ([1, 2], 2)])
def test_nine_tenths_by_hand(values, nine):
    assert figures.nine_tenths(values) == nine


def moment(day, hour=0):
    return datetime(2026, 3, day, hour, tzinfo=UTC)


def test_turnaround_by_hand(desk, engineer):
    for days in (1, 2, 6):
        with at(moment(1)):
            job = JobFactory()
        with at(moment(1 + days)):
            stages.move_on(job, by=desk, expected="booking")
    with at(moment(20)):
        stages.send_back(job, to="booking", by=engineer, reason="Wrong VIN")
    found = of_jobs.turnaround(YEAR)
    assert bars(found)["Book in"] == (2.0, 3)
    assert bars(found)["Triage"] == (13.0, 1)  # entered on the 7th, sent back on the 20th
    assert found.bars[0].remark == "nine tenths within 6.0 days"


def test_what_lies_outside_the_period_is_not_counted_but_what_began_before_is(desk):
    with at(moment(1)):
        job = JobFactory()
    with at(moment(5)):
        stages.move_on(job, by=desk, expected="booking")
    only = figures.Period(first=date(2026, 3, 5), last=date(2026, 3, 6))
    assert bars(of_jobs.turnaround(only))["Book in"][1] == 1
    later = figures.Period(first=date(2026, 3, 7), last=date(2026, 3, 9))
    assert bars(of_jobs.turnaround(later))["Book in"] == (None, 0)


def test_estimate_against_actual_by_hand(desk):
    workshop()
    for over in (0, 1, 5000):
        job = JobFactory()
        estimate = versions.write(job=job, by=desk)
        estimate.events.create(kind="sent")
        decisions.decide(estimate=estimate, accept=True, name="Olive")
        money.note_cost(job=job, by=desk, line="other", amount_aud=estimate.likely_aud + over)
        Job.objects.filter(pk=job.pk).update(stage="done")
    JobFactory(stage="done")
    today = timezone.localdate()
    found = of_jobs.estimate_against_actual(figures.Period(first=today, last=today))
    assert [bar.count for bar in found.bars] == [1, 1, 1]
    assert found.bars[0].value == 33.3
    assert found.bars[2].remark == "+5,000.00 AUD against likely, together"


def a_test_day(job, engineer, *, days=0, safe=None, reason=""):
    starts = moment(10) + timedelta(days=days)
    booking = Booking.objects.create(
        job=job, site=SiteFactory(), driver=CrewMemberFactory(), starts_at=starts, ends_at=starts + timedelta(hours=3),
        booked_by=engineer, cancelled_at=moment(9) if reason else None, cancelled_because=reason,
    )  # fmt: skip
    if safe is None:
        return booking
    day = TestDay.objects.create(booking=booking, inputs={}, work_up={}, opened_by=engineer)
    DriverStatement.objects.create(
        day=day, driver=booking.driver, safe=safe, remark="", signed_name="Dana", by=engineer
    )
    return day


def test_passed_at_the_first_go_by_hand(engineer):
    lift = [("suspension_lift", {"front_mm": 50.0})]
    a_test_day(JobFactory(modifications=lift, stage="certification"), engineer, safe=True)
    a_test_day(JobFactory(modifications=[*lift, ("body_lift", {})]), engineer, safe=False)
    again = JobFactory(modifications=lift)
    first = a_test_day(again, engineer, safe=True)
    Booking.objects.filter(pk=first.booking_id).update(cancelled_at=moment(11))
    a_test_day(again, engineer, days=5, safe=True)
    found = bars(of_testing.first_time_passes(YEAR))
    assert found == {"Suspension lift": (33.3, 3), "Body lift": (0.0, 1)}


@pytest.mark.parametrize(
    ("reason", "weather"),
    [
        ("Wind over the limit", True), ("Gusty", True), ("rained off", True), ("The forecast turned", True),
        ("Wet course", True), ("Driver ill", False), ("The window was broken", False), ("Training day", False),
    ],
)  # fmt: skip
def test_reasons_of_earlier_bookings_are_read_by_their_words_and_marked(engineer, reason, weather):
    a_test_day(JobFactory(), engineer, reason=reason)
    a_test_day(JobFactory(), engineer)
    found = bars(of_testing.postponements(YEAR))
    assert found["Kept"] == (50.0, 1)
    assert found["Called off for the weather"] == ((50.0, 1) if weather else (0.0, 0))
    remarks = {bar.label: bar.remark for bar in of_testing.postponements(YEAR).bars}
    label = "Called off for the weather" if weather else "Called off for another reason"
    assert remarks[label] == "1 of them read from the words of the reason"
    assert remarks["Kept"] == ""


def test_what_was_chosen_at_the_cancelling_goes_before_the_words(engineer):
    booking = a_test_day(JobFactory(), engineer, reason="Driver ill; the forecast was fine and no rain")
    Booking.objects.filter(pk=booking.pk).update(cause="crew")
    found = of_testing.postponements(YEAR)
    assert bars(found)["Called off for another reason"] == (100.0, 1)
    assert not any(bar.remark for bar in found.bars)


def test_a_morning_that_has_not_come_is_not_kept(engineer):
    starts = timezone.now() + timedelta(days=5)
    booking = a_test_day(JobFactory(), engineer)
    Booking.objects.filter(pk=booking.pk).update(starts_at=starts, ends_at=starts + timedelta(hours=3))
    today = timezone.localdate()
    period = figures.Period(first=today, last=today + timedelta(days=10))
    assert bars(of_testing.postponements(period))["Kept"] == (None, 0)


def test_a_driver_who_says_safe_has_not_passed_the_vehicle(engineer):
    """The runs and the signatory's word are missing: the day itself does not say passed."""
    lift = [("suspension_lift", {"front_mm": 50.0})]
    a_test_day(JobFactory(modifications=lift, stage="testday"), engineer, safe=True)
    assert bars(of_testing.first_time_passes(YEAR)) == {"Suspension lift": (0.0, 1)}


# the page


def test_the_page_draws_and_tells_every_figure(as_, engineer, desk, job):
    stages.move_on(job, by=desk, expected="booking")
    page = as_(engineer).get("/overview/").content.decode()
    for title in ("Turnaround by step", "Passed at the first go", "Mornings kept", "Estimate against actual"):
        assert title in page
    assert page.count("<svg") == 1
    assert "Nothing to count in this time." in page


def test_the_longest_bar_fills_the_room_and_shares_are_of_100():
    rows = (figures.Bar(label="a", value=2.0, count=1), figures.Bar(label="b", value=4.0, count=1))
    days = plot(figures.Figure(title="t", unit="days", meaning="", bars=rows))
    assert days.bars[1].width == 2 * days.bars[0].width == 250
    share = plot(figures.Figure(title="t", unit="% of jobs", meaning="", bars=rows))
    assert share.bars[1].width == pytest.approx(250 * 0.04)


def test_each_figure_is_a_file(as_, engineer, desk):
    with at(moment(1)):
        job = JobFactory()
    with at(moment(3)):
        stages.move_on(job, by=desk, expected="booking")
    answer = as_(engineer).get("/overview/turnaround.csv?first=2026-01-01&last=2026-12-31")
    rows = list(csv.DictReader(answer.content.decode().splitlines()))
    assert rows[0]["line"] == "Book in"
    assert float(rows[0]["value (days)"]) == 2.0
    assert "turnaround-2026-01-01-2026-12-31.csv" in answer["Content-Disposition"]


def test_a_text_that_a_spreadsheet_would_run_is_made_harmless(as_, engineer, monkeypatch):
    bar = figures.Bar(label="=cmd|'/c calc'!A1", value=1.0, count=1)
    evil = figures.Figure(title="t", unit="u", meaning="", bars=(bar,))
    monkeypatch.setitem(figures._sources, "evil", lambda period: evil)
    assert "'=cmd" in as_(engineer).get("/overview/evil.csv").content.decode()


def test_a_figure_nobody_registered_is_not_there(as_, engineer):
    assert as_(engineer).get("/overview/profit.csv").status_code == 404


@pytest.mark.parametrize(
    "query",
    ["first=x", "first=2026-05-01&last=2026-04-01", "last=0001-01-01", "first=9999-12-31&last=9999-12-31", "first=%FF"],
)
def test_a_period_that_cannot_be_used_shows_the_last_year_and_says_why(as_, engineer, query):
    for url in (f"/overview/?{query}", f"/overview/turnaround.csv?{query}"):
        assert as_(engineer).get(url).status_code == 200
    assert "invalid-feedback" in as_(engineer).get(f"/overview/?{query}").content.decode()
