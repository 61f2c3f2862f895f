"""Observers and instruments are booked with the day: in date, free, and never twice at once."""

import pytest
from django.urls import reverse

from jobs.refused import Refused
from testing.models import BarredOwner, BookedSlot, SiteBlackout
from testing.scheduling import services
from testing.scheduling.conditions import conditions
from tests.factories import CrewMemberFactory
from tests.scheduling_factories import calibrated, in_days, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db


def refusal(engineer, **takes):
    with pytest.raises(Refused) as refused:
        services.book(by=engineer, job=ready_job(), **takes)
    return str(refused.value)


def test_an_observer_is_a_person_like_the_driver(engineer):
    """Who drives at one site cannot count cones at another at the same time."""
    person = CrewMemberFactory()
    services.book(by=engineer, job=ready_job(), **wanted(), observers=[person])
    assert f"{person} is taken" in refusal(engineer, **wanted(driver=person))
    services.book(by=engineer, job=ready_job(), **wanted(driver=person, day=in_days(21)))


def test_the_driver_does_not_observe_himself(engineer):
    person = CrewMemberFactory()
    assert "somebody else has to observe" in refusal(engineer, **wanted(driver=person), observers=[person])


def test_who_does_not_observe(engineer):
    assert "not listed as one who observes" in refusal(
        engineer, **wanted(), observers=[CrewMemberFactory(observes=False)]
    )


def test_an_instrument_is_not_booked_twice(engineer):
    gps = calibrated("gps_speed")
    services.book(by=engineer, job=ready_job(), **wanted(), instruments=[gps])
    assert f"{gps} is taken" in refusal(engineer, **wanted(), instruments=[gps])
    assert BookedSlot.objects.filter(resource=f"instrument:{gps.pk}").count() == 16


@pytest.mark.parametrize(
    ("facts", "why"),
    [
        ({"valid_to": in_days(19)}, "holds until"),
        ({"valid_to": None}, "has no calibration certificate"),
        ({"certificate": ""}, "has no calibration certificate"),
        ({"calibrated_on": in_days(21)}, "is calibrated from"),
        ({"in_service": False}, "out of service"),
    ],
)
def test_an_instrument_that_cannot_be_relied_on(engineer, facts, why):
    assert why in refusal(engineer, **wanted(), instruments=[calibrated("anemometer", **facts)])


def test_calibration_holds_on_its_last_day(engineer):
    last = calibrated("anemometer", valid_to=in_days(20))
    assert services.book(by=engineer, job=ready_job(), **wanted(), instruments=[last])


def test_both_needed_kinds_have_to_be_booked_where_instruments_are_kept(engineer):
    job, gps, wind = ready_job(), calibrated("gps_speed"), calibrated("anemometer")
    services.book(by=engineer, job=job, **wanted(), instruments=[gps])
    found = {c.title: c for c in conditions(job)}["Instruments"]
    assert (found.verdict, "anemometer" in found.text) == ("not_met", True)
    services.move(by=engineer, job=job, reason="forgot one", **wanted(day=in_days(21)), instruments=[gps, wind])
    assert {c.title: c.verdict for c in conditions(job)}["Instruments"] == "met"


def test_a_workshop_without_instruments_on_its_books_is_not_asked_for_them_here(engineer):
    job = ready_job()
    services.book(by=engineer, job=job, **wanted())
    assert "Instruments" not in {c.title for c in conditions(job)}


def test_who_is_barred_does_not_drive_for_that_owner(engineer):
    driver, job = CrewMemberFactory(), ready_job()
    BarredOwner.objects.create(member=driver, owner=job.owner.email.upper(), reason="Sister")
    with pytest.raises(Refused, match="may not drive vehicles of"):
        services.book(by=engineer, job=job, **wanted(driver=driver))
    services.book(by=engineer, job=ready_job(), **wanted(driver=driver))


def test_days_without_the_site(engineer):
    site = level_site()
    SiteBlackout.objects.create(site=site, first_day=in_days(20), last_day=in_days(20), reason="Air show")
    assert "cannot be had" in refusal(engineer, **wanted(site=site))
    job = ready_job()
    services.book(by=engineer, job=job, **wanted(site=site, day=in_days(21)))
    SiteBlackout.objects.create(site=site, first_day=in_days(21), last_day=in_days(22), reason="Works")
    assert {c.title: c.verdict for c in conditions(job)}["Site"] == "not_met"


def test_the_form_offers_what_is_in_date_and_books_it(as_, engineer, driver):
    gps, wind = calibrated("gps_speed"), calibrated("anemometer", valid_to=in_days(-1))
    job, site, observer = ready_job(), level_site(), CrewMemberFactory()
    url = reverse("testing:schedule", args=[job.number])
    assert as_(engineer).get(url).context["form"].initial["instruments"] == [gps.pk]
    facts = {"site": site.pk, "day": in_days(20).isoformat(), "start": "06:00", "hours": "3.5", "driver": driver.pk}
    response = as_(engineer).post(url, {**facts, "instruments": [gps.pk, wind.pk], "observers": [observer.pk]})
    assert "The calibration of" in response.content.decode()
    as_(engineer).post(url, {**facts, "instruments": [gps.pk], "observers": [observer.pk]})
    booking = services.standing_booking(job)
    assert (list(booking.instruments.all()), list(booking.observers.all())) == ([gps], [observer])


@pytest.mark.parametrize("field", ["observers", "instruments", "hold"])
@pytest.mark.parametrize("value", ["nonsense", "-1", "9" * 40, "a\x00b"])
def test_bad_input_is_answered_at_the_field(as_, engineer, driver, field, value):
    job, site = ready_job(), level_site()
    facts = {"site": site.pk, "day": in_days(20).isoformat(), "start": "06:00", "hours": "4", "driver": driver.pk}
    response = as_(engineer).post(reverse("testing:schedule", args=[job.number]), {**facts, field: value})
    assert response.context["form"].errors.keys() == {field}
