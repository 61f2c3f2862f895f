"""Finding the morning: what is proposed, in which order, what falls out and why."""

import itertools
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from certificates.demo.clock import at as clock
from jobs import lines, owner_page
from jobs.models import Job, MorningAnswer
from jobs.owners import words
from jobs.refused import Refused
from testing.models import BarredOwner, Booking, Instrument, SiteBlackout
from testing.scheduling import finding, services, together
from tests.factories import CoverFactory, CrewMemberFactory, JobFactory, VehicleFactory
from tests.owner_side import address, let_in, sent_estimate, workshop
from tests.scheduling_factories import at, calibrated, in_days, keep_weather, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db
URL = "/planner/find/"


@pytest.fixture
def calm_site(engineer):
    """A site with calm, dry days from tomorrow on, for four days."""
    site = level_site(hire_aud=480)
    for number in range(1, 5):
        keep_weather(site, in_days(number), by=engineer)
    return site


def find(*jobs, days=4, **options):
    return finding.find(list(jobs), first_day=in_days(1), days=days, **options)


def days_of(found):
    return [proposal.start.date() for proposal in found.proposals]


def test_every_calm_day_is_proposed_the_nearest_first(calm_site, driver):
    found = find(ready_job())
    assert days_of(found) == [in_days(number) for number in range(1, 5)]
    first = found.proposals[0]
    assert first.site == calm_site
    assert set(first.drivers.values()) == {driver}
    assert f"{first.start:%H:%M}" == "06:00"
    assert (first.end - first.start) == timedelta(minutes=210)
    assert any("Chance" in reason for reason in first.reasons)
    assert any("480.00 AUD" in reason for reason in first.reasons)


def test_windy_and_wet_hours_are_gone_round(engineer, driver):
    """Wind until 09:00, so 09:00 is the first start; on the next day rain until 05:00, dry from 09:00 on."""
    site, job = level_site(), ready_job()
    keep_weather(site, in_days(1), by=engineer, **{f"h{hour:02d}": {"wind_mps": 4.0} for hour in range(6, 9)})
    keep_weather(site, in_days(2), by=engineer, h05={"rain_mm": 1.0})
    starts = {p.start.date(): f"{p.start:%H:%M}" for p in find(job, days=2).proposals}
    assert starts == {in_days(1): "09:00", in_days(2): "09:00"}


def test_a_day_on_which_the_forecast_speaks_against_every_hour(engineer, driver):
    site = level_site()
    keep_weather(site, in_days(1), by=engineer, wind=5.0)
    found = find(ready_job(), days=1)
    assert found.proposals == []
    assert found.against_days["the forecast speaks against it"] == 1


def test_beyond_the_forecast_the_chance_is_not_known_and_ranks_last(engineer, calm_site, driver):
    found = find(ready_job(), days=6)
    assert found.proposals[-1].chance.value is None
    assert days_of(found)[:4] == [in_days(number) for number in range(1, 5)]


def test_a_site_that_is_too_short_falls_out_with_the_lengths(calm_site, driver):
    short = level_site(length_m=400)
    found = find(ready_job())
    assert all(proposal.site == calm_site for proposal in found.proposals)
    assert any(str(short) in text and "669.9 m" in text for text in found.against_sites)


def test_ends_that_take_no_course_count_as_run_up_only(engineer, driver):
    """By hand: run-up 311.2 m, course 125 m, run-off 233.7 m. 300 m of run-up ground leave 11.2 m too little before
    a strip of 340 m, which has room to give; a strip of 120 m cannot take the course at all.
    """
    fits = level_site(length_m=890, before_m=300, after_m=250)
    shut = level_site(length_m=670, before_m=300, after_m=250)
    found = find(ready_job(), days=1)
    assert {proposal.site for proposal in found.proposals} == {fits}
    assert any(str(shut) in text for text in found.against_sites)


def test_what_is_booked_is_gone_round(engineer, calm_site, driver):
    first = ready_job()
    services.book(by=engineer, job=first, **wanted(site=calm_site, driver=driver, day=in_days(1), hours=4))
    found = find(ready_job(), days=1)
    assert f"{found.proposals[0].start:%H:%M}" == "10:00"


def test_nobody_is_free(engineer, calm_site, driver):
    elsewhere = level_site()
    services.book(by=engineer, job=ready_job(), **wanted(site=elsewhere, driver=driver, day=in_days(1), hours=12))
    job = ready_job()
    found = find(job, days=1)
    assert all(proposal.site != calm_site for proposal in found.proposals)
    assert f"nobody who may drive {job.number} is free" in found.against_days


def test_a_hold_that_ran_out_takes_nothing(engineer, calm_site, driver):
    services.book(
        by=engineer, job=ready_job(), **wanted(site=calm_site, driver=driver, day=in_days(1), hours=12), hold_h=1
    )
    Booking.objects.update(held_until=timezone.now() - timedelta(minutes=1))
    assert f"{find(ready_job(), days=1).proposals[0].start:%H:%M}" == "06:00"


def test_days_without_the_site(calm_site, driver):
    SiteBlackout.objects.create(site=calm_site, first_day=in_days(1), last_day=in_days(2), reason="Air show")
    found = find(ready_job())
    assert days_of(found) == [in_days(3), in_days(4)]
    assert found.against_days[f"{calm_site} cannot be had: Air show"] == 2


def test_a_driver_who_may_not_drive_for_that_owner(calm_site, driver):
    job = ready_job()
    BarredOwner.objects.create(member=driver, owner=f" {job.owner.name.upper()}", reason="Brother")
    assert find(job).proposals == []
    other = CrewMemberFactory()
    assert set(find(job).proposals[0].drivers.values()) == {other}


def test_evidence_that_runs_out_in_between(calm_site):
    CrewMemberFactory(evidence_valid_to=in_days(2))
    assert days_of(find(ready_job())) == [in_days(1), in_days(2)]


def test_instruments_in_date_and_free(engineer, calm_site, driver):
    job = ready_job()
    assert any("GPS speed and no anemometer" in text for text in find(job).proposals[0].to_do)
    gps, wind = calibrated("gps_speed"), calibrated("anemometer", valid_to=in_days(2))
    found = find(job)
    assert days_of(found) == [in_days(1), in_days(2)]
    assert set(found.proposals[0].instruments) == {gps, wind}
    assert found.against_days["no anemometer in date and free"] == 2
    Instrument.objects.filter(pk=gps.pk).update(in_service=False)
    assert find(job).proposals == []


def test_cover_that_is_still_to_be_arranged_is_said_and_one_that_does_not_hold_rules_the_day_out(calm_site, driver):
    job = JobFactory(stage="scheduling")
    assert any("arrange insurance cover" in text for text in find(job).proposals[0].to_do)
    CoverFactory(job=job, valid_from=in_days(3), valid_to=in_days(3))
    assert days_of(find(Job.objects.get())) == [in_days(3)]


def test_a_day_that_the_owner_said_no_to(calm_site, driver):
    job = ready_job()
    MorningAnswer.objects.create(job=job, day=in_days(1), suits=False)
    MorningAnswer.objects.create(job=job, day=in_days(2), suits=True)
    assert days_of(find(job)) == [in_days(2), in_days(3), in_days(4)]


def test_a_job_that_is_not_ready(calm_site, driver):
    job = JobFactory(stage="triage")
    assert "the signed triage comes first" in find(job).not_ready[0]
    unknown = ready_job(vehicle=VehicleFactory(overall_width_mm=None))
    assert "overall width is not known" in find(unknown).not_ready[0]


def test_within_daylight_where_the_place_is_known(engineer, driver):
    """20 May at Sydney: the sun rises at 06:46, so the first half hour is 07:00; and 210 min end before 16:58."""
    site = level_site(latitude_deg=-33.87, longitude_deg=151.21, opens="05:00", closes="20:00")
    day = next(date(year, 5, 20) for year in (timezone.localdate().year, timezone.localdate().year + 1)
               if date(year, 5, 20) > in_days(1))  # fmt: skip
    driver.evidence_valid_to = day
    driver.save()
    keep_weather(site, day, by=engineer)
    (proposal,) = finding.find([ready_job()], first_day=day, days=1).proposals
    assert f"{proposal.start:%H:%M}" == "07:00"


def test_the_cheaper_site_comes_first_when_all_else_is_equal(engineer, calm_site, driver):
    cheap = level_site(hire_aud=Decimal(200))
    keep_weather(cheap, in_days(1), by=engineer)
    assert find(ready_job(), days=1).proposals[0].site == cheap


def test_three_jobs_are_booked_one_after_the_other_or_not_at_all(as_, engineer, calm_site, driver):
    jobs = [ready_job(vehicle=VehicleFactory(overall_width_mm=width)) for width in (1900, 1700, 1900)]
    client = as_(engineer)
    page = client.get(URL, {"jobs": [job.number for job in jobs], "first_day": in_days(1).isoformat(), "days": "7"})
    best = page.context["proposals"][0]
    text = page.content.decode()
    assert "9 moved, 9 fewer than in the order asked for" in text
    assert "Order of the day" in text
    take = {"jobs": [job.number for job in jobs], "site": best.site.pk, "start": best.start.isoformat()}
    assert client.post(f"{URL}take/", take).status_code == 302
    made = list(Booking.objects.order_by("starts_at"))
    assert [booking.job.vehicle.overall_width_mm for booking in made] in ([1900, 1900, 1700], [1700, 1900, 1900])
    assert all(one.ends_at == other.starts_at for one, other in itertools.pairwise(made))
    assert {booking.driver for booking in made} == {driver}
    assert len({booking.hire for booking in made}) == 1
    assert made[0].hire.order == best.timed
    again = ready_job()
    with pytest.raises(Refused):
        together.book_together(by=engineer, jobs=[again], site=calm_site, starts_at=best.start)
    assert not again.bookings.exists()


def test_a_booked_hire_is_moved_as_a_whole_and_needs_a_reason(as_, engineer, calm_site, driver):
    jobs = [ready_job(), ready_job()]
    start = at(calm_site, in_days(1))
    together.book_together(by=engineer, jobs=jobs, site=calm_site, starts_at=start)
    take = {"jobs": [job.number for job in jobs], "site": calm_site.pk, "start": at(calm_site, in_days(2)).isoformat()}
    client = as_(engineer)
    said = client.post(f"{URL}take/", take, follow=True).content.decode()
    assert "Say why the booked days are given up." in said
    assert all(services.standing_booking(job).day == in_days(1) for job in jobs)
    client.post(f"{URL}take/", {**take, "reason": "Wind", "cause": "weather"})
    assert all(services.standing_booking(job).day == in_days(2) for job in jobs)
    assert {b.cancelled_because for b in Booking.objects.exclude(cancelled_at=None)} == {"Wind"}


def test_a_proposal_can_be_held(as_, engineer, calm_site, driver):
    job = ready_job()
    take = {"jobs": job.number, "site": calm_site.pk, "start": at(calm_site, in_days(1)).isoformat(), "hold": "on"}
    as_(engineer).post(f"{URL}take/", take)
    assert services.standing_booking(job).held_until is not None


@pytest.mark.parametrize("field", ["jobs", "first_day", "days", "site"])
@pytest.mark.parametrize("value", ["", "nonsense", "-1", "9" * 40, "a\x00b", "x" * 3000])
def test_bad_input_is_answered_at_the_field(as_, engineer, field, value):
    job = ready_job()
    asked = {"jobs": job.number, "first_day": in_days(1).isoformat(), "days": "7", "site": "", field: value}
    response = as_(engineer).get(URL, asked)
    assert response.status_code in (200, 400)
    if response.status_code == 200 and (field, value) != ("site", ""):
        assert response.context["form"].errors.keys() == {field}


@pytest.mark.parametrize("field", ["jobs", "site", "start", "reason"])
@pytest.mark.parametrize("value", ["", "nonsense", "-1", "9" * 40, "a\x00b", "0001-01-01T00:00"])
def test_a_proposal_that_cannot_be_read_books_nothing(as_, engineer, calm_site, driver, field, value):
    job = ready_job()
    take = {"jobs": job.number, "site": calm_site.pk, "start": at(calm_site, in_days(1), "05:00").isoformat()}
    assert as_(engineer).post(f"{URL}take/", {**take, field: value}).status_code == 302
    assert not Booking.objects.exists()


def queries_of(job, days):
    with CaptureQueriesContext(connection) as seen:
        assert find(job, days=days).proposals
    return len(seen)


def test_the_number_of_queries_does_not_grow_with_sites_days_and_bookings(engineer, calm_site, driver):
    job = ready_job()
    find(job)  # the editions of the rules are stored by whoever asks first
    few = queries_of(job, days=4)
    for number in range(5, 9):
        services.book(by=engineer, job=ready_job(), **wanted(day=in_days(number)))
    for _ in range(6):
        keep_weather(level_site(), in_days(1), by=engineer)
    assert queries_of(job, days=28) == few


def test_a_forecast_counts_at_its_own_site_only(engineer, calm_site, driver):
    stormy = level_site()
    gale = {f"h{hour:02d}": {"wind_mps": 12.0} for hour in range(24)}
    keep_weather(stormy, in_days(1), by=engineer, **gale)
    assert {proposal.site for proposal in find(ready_job(), days=1).proposals} == {calm_site}


def test_the_desk_looks_and_does_not_find(as_, desk):
    assert as_(desk).get(URL).status_code == 403


# asking the owner first


def ask_owner(client, job, found, *numbers):
    ticked = [f"{found.proposals[n].site.pk} {found.proposals[n].start.isoformat()}" for n in numbers]
    return client.post(f"{URL}offer/", {"jobs": [job.number], "mornings": ticked}, follow=True)


def test_the_owner_is_asked_about_several_mornings_and_a_no_falls_out(calm_site, driver, as_, engineer, client):
    job = ready_job()
    page = ask_owner(as_(engineer), job, find(job), 0, 1, 2).content.decode()
    assert "is asked about 3 mornings" in page
    offered = owner_page.mornings_of(job)
    assert [morning.day for morning in offered] == [in_days(1), in_days(2), in_days(3)]
    assert "from 06:00 AE" in offered[0].text
    letter = job.messages.get(kind="mornings_offered")
    assert all(morning.text in letter.body for morning in offered)
    line = lines.of(job)
    assert (line.who, line.act) == ("owner", "Says which of the mornings offered do not suit.")
    own = let_in(client, job)
    own.post(address(job, "mornings/"), {"unsuitable": [str(in_days(1))], "note": ""})
    assert in_days(1) not in days_of(find(job))
    assert lines.of(job).who == "desk"
    words.note(job=job, by=engineer, up_to=job.owner_words.last().pk)
    assert lines.of(job).act == "Booking: No day is booked yet."
    services.book(by=engineer, job=job, **wanted(site=calm_site, day=in_days(2)))
    assert owner_page.mornings_of(job) == []


def test_a_new_offer_takes_the_place_of_the_last(calm_site, driver, as_, engineer):
    job = ready_job()
    found = find(job)
    ask_owner(as_(engineer), job, found, 0, 1)
    ask_owner(as_(engineer), job, found, 3, 3)
    assert [morning.day for morning in owner_page.mornings_of(job)] == [in_days(4)]


@pytest.mark.parametrize(
    "mornings", [[], [""], ["x y"], ["1 2020-01-01T06:00+11:00"], ["999999 2026-12-02"], ["\x00"], ["9" * 900]]
)
def test_a_morning_that_cannot_be_offered_is_refused_plainly(as_, engineer, mornings):
    job = ready_job()
    page = as_(engineer).post(f"{URL}offer/", {"jobs": [job.number], "mornings": mornings}, follow=True)
    assert "Tick at least one morning" in page.content.decode()
    assert not job.offered_mornings.exists()


def test_nothing_is_booked_before_the_owner_has_said_yes_to_the_estimate(desk):
    workshop()
    job = ready_job()
    estimate = sent_estimate(job, desk)
    line = lines.of(job)
    assert (line.who, line.act) == ("owner", "Says yes or no to version 1 of the estimate.")
    assert timezone.localdate(line.due_at) == estimate.valid_until
    with clock(timezone.now() + timedelta(days=40)):
        assert lines.of(job).act == "Version 1 of the estimate ran out unanswered: ring the owner."


def test_where_nothing_waits_there_is_nothing_to_choose(as_, engineer):
    page = as_(engineer).get("/planner/find/").content.decode()
    assert "No job waits for a morning." in page and "Look for a morning" not in page
