"""Who is told what: e-mails read back, and the calendar in them read by another library than the one that wrote it."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone
from ical.calendar_stream import IcsCalendarStream
from ical.event import EventStatus
from pypdf import PdfReader

from jobs import outbox, owner_page
from jobs.models import OutboxMessage
from jobs.refused import Refused
from testing.models import Booking, CalendarFeed
from testing.scheduling import bookings, calendars, services, sheet
from tests.factories import CrewMemberFactory, OwnerFactory, UserFactory
from tests.scheduling_factories import calibrated, in_days, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast(engineer):
    """A job whose owner, crew and site can all be written to."""
    site = level_site(email="strip@example.com", place="Near Saltbush")
    driver = CrewMemberFactory(email="dana@example.com")
    observer = CrewMemberFactory(email="ines@example.com")
    takes = {**wanted(site=site, driver=driver), "observers": [observer], "instruments": [calibrated("gps_speed")]}
    return ready_job(owner=OwnerFactory(email="olive@example.com")), takes


def sent():
    """What leaves the house now, by receiver."""
    mail.outbox.clear()
    assert outbox.send_due()[1] == 0
    return {message.to[0]: message for message in mail.outbox}


def events(message):
    (text,) = (content for name, content, _ in message.attachments if name.endswith(".ics"))
    return IcsCalendarStream.calendar_from_ics(text if isinstance(text, str) else text.decode()).events


def test_a_booking_is_told_to_owner_crew_and_site(engineer, cast):
    job, takes = cast
    services.book(by=engineer, job=job, **takes)
    letters = sent()
    assert set(letters) == {"olive@example.com", "dana@example.com", "ines@example.com", "strip@example.com"}
    when = services.standing_booking(job).when
    for letter in letters.values():
        assert when in letter.subject
        assert "Near Saltbush" in letter.body
    assert "Bring: Box" in letters["dana@example.com"].body
    assert job.vehicle.plate not in letters["strip@example.com"].body


def test_the_owner_gets_the_preparation_sheet(engineer, cast):
    job, takes = cast
    services.book(by=engineer, job=job, **takes)
    letter = sent()["olive@example.com"]
    (sheet,) = (content for name, content, kind in letter.attachments if kind == "application/pdf")
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(sheet)).pages)
    for words in (job.number, "Tyre pressures", "handbrake", "Roof items", "90 %", "Standard equipment", "nine tenths"):
        assert words in text
    assert services.standing_booking(job).when in " ".join(text.split())


def test_the_calendar_is_read_back_by_another_library(engineer, cast):
    job, takes = cast
    booking = services.book(by=engineer, job=job, **takes)
    (event,) = events(sent()["dana@example.com"])
    assert event.dtstart.astimezone(takes["starts_at"].tzinfo) == takes["starts_at"]
    assert event.dtend - event.dtstart == timedelta(hours=4)
    assert event.dtstart.utcoffset() == booking.local_start.utcoffset()
    assert (event.status, event.uid) == (EventStatus.CONFIRMED, f"{job.number}-test@job-book")
    assert job.number in event.summary


@pytest.mark.parametrize("zone", ["Australia/Sydney", "Australia/Brisbane", "Australia/Eucla", "Australia/Perth"])
@pytest.mark.parametrize("month", [1, 7])
def test_times_are_right_in_every_zone_and_season(engineer, zone, month):
    year = timezone.localdate().year + 1
    day = in_days(1).replace(year=year, month=month, day=15)
    site = level_site(time_zone=zone)
    driver = CrewMemberFactory(evidence_valid_to=day)
    booking = services.book(by=engineer, job=ready_job(), **wanted(site=site, driver=driver, day=day))
    text = calendars.calendar_of([booking], name="Test").decode()
    (event,) = IcsCalendarStream.calendar_from_ics(text).events
    assert f"{event.dtstart:%H:%M}" == "06:00"
    assert event.dtstart == booking.starts_at


def test_moved_and_cancelled_stay_one_event_that_grows(engineer, cast):
    job, takes = cast
    services.book(by=engineer, job=job, **takes)
    (first,) = events(sent()["dana@example.com"])
    later = {**takes, "starts_at": takes["starts_at"] + timedelta(days=1)}
    services.move(by=engineer, job=job, reason="Wind forecast", **later)
    letters = sent()
    assert "It was booked for" in letters["dana@example.com"].body
    assert "Wind forecast" in letters["olive@example.com"].body
    (second,) = events(letters["dana@example.com"])
    services.cancel(by=engineer, job=job, reason="Sold")
    (third,) = events(sent()["dana@example.com"])
    assert first.uid == second.uid == third.uid
    assert first.sequence < second.sequence < third.sequence
    assert second.dtstart == first.dtstart + timedelta(days=1)
    assert third.status == EventStatus.CANCELLED


def test_a_hold_offers_the_morning_to_the_owner(client, engineer, cast):
    job, takes = cast
    services.book(by=engineer, job=job, hold_h=48, **takes)
    letters = sent()
    assert "do not suit you" in letters["olive@example.com"].body
    assert "is held until" in letters["dana@example.com"].body
    (event,) = events(letters["dana@example.com"])
    assert event.status == EventStatus.TENTATIVE
    page = client.get(reverse("jobs:owner_page", args=[job.owner_token])).content.decode()
    assert services.standing_booking(job).when in page


def test_a_hold_that_runs_out_is_told_to_those_whose_time_it_took(engineer, cast):
    job, takes = cast
    services.book(by=engineer, job=job, hold_h=48, **takes)
    sent()
    Booking.objects.update(held_until=timezone.now() - timedelta(seconds=1))
    bookings.clear_run_out_holds()
    assert set(sent()) == {"dana@example.com", "ines@example.com", "strip@example.com"}


def test_nothing_is_told_about_a_booking_that_was_refused(engineer, cast):
    job, takes = cast
    services.book(by=engineer, job=ready_job(), **{**takes, "observers": [], "instruments": []})
    OutboxMessage.objects.all().delete()
    with pytest.raises(Refused):
        services.book(by=engineer, job=job, **takes)
    assert not OutboxMessage.objects.exists()


def test_somebody_who_plays_two_parts_is_told_once(engineer):
    site = level_site(email="Dana@example.com")
    job, driver = ready_job(owner=OwnerFactory(email="")), CrewMemberFactory(email="dana@example.com")
    services.book(by=engineer, job=job, **wanted(site=site, driver=driver))
    assert list(sent()) == ["dana@example.com"]


class TestFeed:
    """The address that a calendar program reads by itself."""

    def read(self, client, user):
        feed, _ = CalendarFeed.objects.get_or_create(user=user)
        response = client.get(reverse("testing:feed", args=[feed.token]))
        assert response["Content-Type"].startswith("text/calendar")
        return IcsCalendarStream.calendar_from_ics(response.content.decode()).events

    def test_the_engineer_reads_all_and_the_crew_their_own(self, client, engineer, driver_user):
        mine, watched, other = ready_job(), ready_job(), ready_job()
        me = CrewMemberFactory(user=driver_user)
        services.book(by=engineer, job=mine, **wanted(driver=me))
        services.book(by=engineer, job=watched, **wanted(day=in_days(21)), observers=[me])
        services.book(by=engineer, job=other, **wanted(day=in_days(22)))
        assert len(self.read(client, engineer)) == 3
        assert {event.summary.split()[-1] for event in self.read(client, driver_user)} == {mine.number, watched.number}

    def test_the_latest_booking_of_a_job_counts(self, client, engineer):
        job, takes = ready_job(), wanted()
        services.book(by=engineer, job=job, **takes)
        services.move(by=engineer, job=job, reason="x", **{**takes, "starts_at": takes["starts_at"] + timedelta(1)})
        (event,) = self.read(client, engineer)
        assert (event.status, event.dtstart) == (EventStatus.CONFIRMED, takes["starts_at"] + timedelta(1))

    def test_a_new_address_closes_the_old_one(self, as_, engineer):
        client = as_(engineer)
        client.post(reverse("testing:new_feed"))
        old = CalendarFeed.objects.get().token
        client.post(reverse("testing:new_feed"))
        assert client.get(reverse("testing:feed", args=[old])).status_code == 404
        assert client.get(reverse("testing:feed", args=[CalendarFeed.objects.get().token])).status_code == 200

    @pytest.mark.parametrize("token", ["x", "a" * 500, "%00", "..%2f"])
    def test_an_address_that_is_none(self, client, token):
        assert client.get(f"/planner/calendar/{token}.ics").status_code in (400, 404)

    def test_somebody_who_left_reads_nothing(self, client, engineer):
        feed = CalendarFeed.objects.create(user=UserFactory(is_active=False))
        assert client.get(reverse("testing:feed", args=[feed.token])).status_code == 404

    def test_the_number_of_queries_does_not_grow(self, client, engineer, django_assert_max_num_queries):
        for number in range(4):
            services.book(by=engineer, job=ready_job(), **wanted(day=in_days(20 + number)))
        with django_assert_max_num_queries(8):
            assert len(self.read(client, engineer)) == 4


def test_the_sheet_is_among_the_owners_papers_while_a_day_is_booked(engineer, cast):
    job, takes = cast
    assert not any(paper.key == sheet.KEY for paper in owner_page.papers(job))
    services.book(by=engineer, job=job, hold_h=48, **takes)
    assert not any(paper.key == sheet.KEY for paper in owner_page.papers(job))
    services.confirm(by=engineer, job=job)
    paper = owner_page.paper_or_404(job, sheet.KEY)
    assert b"".join(paper.open()).startswith(b"%PDF-")
