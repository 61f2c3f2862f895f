"""The work-up page: everything computed, on one page, with how it came about."""

import re

import pytest
from django.urls import reverse

from tests.factories import JobFactory
from tests.testday_factories import book

pytestmark = pytest.mark.django_db


def page(as_, user, job):
    response = as_(user).get(reverse("testing:work_up", args=[job.number]))
    assert response.status_code == 200
    return response.content.decode()


def test_the_numbers_of_the_example(as_, engineer, job, site, driver):
    book(job, site=site, driver=driver, engineer=engineer)
    text = page(as_, engineer, job)
    # Source: the printed example of the work-up (its driver of 80 kg, without its 12 kg of instruments).
    for printed in ("36.5 kg", "2,281.5 kg", "2,609.5 kg", "260.0 kg", "68.0 kg", "77.25 mm", "80, 90, 100, 110 km/h"):
        assert printed in text, printed
    for width in ("2.324 m", "2.512 m", "2.701 m"):
        assert width in text, width
    assert "Within the GVM" in text and "at most 3 m/s" in text


def test_every_cone_and_the_drawing(as_, engineer, job):
    text = page(as_, engineer, job)
    assert text.count('class="cone"') == 18
    assert '<th scope="row">18</th>' in text
    assert "125.00 m" in text and "6.012 m" in text


def test_deciding_numbers_can_be_opened(as_, engineer, job):
    text = page(as_, engineer, job)
    for quantity, formula in (
        ("Width of section 3", "1.2 × w + 0.25 m"),
        ("Overall rise", "suspension + body + tyres"),
        ("Target speed", "110 km/h for MA"),
    ):
        assert quantity in text and formula in text, quantity
    assert text.count('class="working"') >= 7 and "not yet checked against the current text" in text


def test_what_is_undecided_is_named_with_what_to_measure(as_, engineer, job, site, driver):
    text = page(as_, engineer, job)
    assert "axle-lift weighing" in text and "weigh the driver" in text
    book(job, site=site, driver=driver, engineer=engineer)
    text = page(as_, engineer, job)
    assert "axle-lift weighing" in text and re.search(r"estimate only: \d{3} ± \d+ mm", text)
    assert "weigh the driver" not in text


def test_an_empty_vehicle_is_all_undecided_and_no_fault(as_, engineer, job):
    vehicle = job.vehicle
    for field in vehicle._meta.fields:
        if field.null:
            setattr(vehicle, field.name, None)
    vehicle.adr_category = vehicle.tyre = vehicle.fuel = ""
    vehicle.save()
    text = page(as_, engineer, job)
    assert "measure the overall width" in text and "Undecided" in text
    assert 'class="cone"' not in text


def test_facts_that_contradict_each_other_are_listed(as_, engineer, job):
    job.vehicle.rear_axle_kg = 1500
    job.vehicle.save()
    assert "the facts contradict each other" in page(as_, engineer, job)


def test_a_body_that_does_not_fit_its_wheelbase_is_no_fault_of_the_page(as_, engineer, job):
    job.vehicle.overall_length_mm = 3000
    job.vehicle.save()
    page(as_, engineer, job)


def test_above_the_gvm_it_says_so(as_, engineer, site, driver):
    job = JobFactory(vehicle__gvm_kg=2400)
    book(job, site=site, driver=driver, engineer=engineer)
    assert "Above the GVM: do not drive at that mass" in page(as_, engineer, job)


def test_who_may_read(as_, desk, auditor, driver_user, owner_user, job):
    for person in (desk, auditor):
        page(as_, person, job)
    for person in (driver_user, owner_user):
        assert as_(person).get(reverse("testing:work_up", args=[job.number])).status_code == 403


def test_no_such_job(as_, engineer):
    assert as_(engineer).get(reverse("testing:work_up", args=["J1999-0001"])).status_code == 404
