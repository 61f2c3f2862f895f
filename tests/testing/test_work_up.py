"""The work-up page: everything computed, on one page, with how it came about."""

import re

import pytest
from django.urls import reverse

from testing.models import BallastStock
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


MEASURED = {
    "driver_x_mm": 1340.0,
    "fuel_x_mm": 2380.0,
    "instruments_x_mm": 1500.0,
    "luggage_x_mm": 3150.0,
    "row_1_x_mm": 1340.0,
    "row_1_seats": 2,
    "row_2_x_mm": 2230.0,
    "row_2_seats": 3,
    "corner_front_left_kg": 571.0,
    "corner_front_right_kg": 579.0,
    "corner_rear_left_kg": 512.0,
    "corner_rear_right_kg": 503.0,
    "lift_raised_axle": "front",
    "lift_static_radius_mm": 400.0,
    **{f"lift_{n}_raised_mm": mm for n, mm in ((1, 300.0), (2, 450.0), (3, 600.0))},
    **{f"lift_{n}_held_axle_kg": kg for n, kg in ((1, 1044.0), (2, 1060.0), (3, 1076.0))},
}


@pytest.fixture
def measured_job(site, driver, engineer):
    job = JobFactory(**{f"vehicle__{name}": value for name, value in MEASURED.items()})
    book(job, site=site, driver=driver, engineer=engineer)
    return job


def test_the_loading_plan_as_drawing_and_list(as_, engineer, measured_job):
    text = page(as_, engineer, measured_job)
    assert 'class="drawing loading"' in text and "1. row 1, left, floor" in text
    # Source: the worked example: 260 kg over four seats, 68 kg of luggage.
    assert text.count("1 × sandbag of 25 kg, 2 × sandbag of 20 kg</td>") == 4
    assert "No ballast is needed at this mass" in text and "From the store: " in text
    # Source: NTC load restraint guide: 0.8 g forward of 65 kg is 510 N, 0.5 g sideways 319 N.
    assert "510 N" in text and "319 N" in text and "NTC load restraint guide" in text


def test_whole_pieces_that_carry_it_over_the_gvm_are_warned_of(as_, engineer, measured_job):
    assert "Over the GVM by this plan" not in page(as_, engineer, measured_job)
    # A vehicle for goods has its GVM as Test Mass 2, and no number of bars of 31 kg comes to it.
    BallastStock.objects.create(name="Bar", piece_kg=31.0, pieces=40)
    for name, value in {"adr_category": "NA", "gvm_kg": 2700.0, "goods_x_mm": 2600.0}.items():
        setattr(measured_job.vehicle, name, value)
    measured_job.vehicle.save()
    text = page(as_, engineer, measured_job)
    assert "kg over its GVM, and nothing is driven above it" in text


def test_what_a_loading_plan_waits_for(as_, engineer, job):
    text = page(as_, engineer, job)
    assert "Undecided" in text and "Luggage area behind the front axle" in text
    assert "places.luggage_x_mm" not in text


def test_a_loading_that_is_impossible_says_why(as_, engineer, measured_job):
    measured_job.vehicle.rear_axle_rating_kg = 1100
    measured_job.vehicle.save()
    text = page(as_, engineer, measured_job)
    assert "No loading reaches this mass" in text and "the rear axle would be over its rating" in text


def test_the_set_out_sheet_for_two_people_with_tapes(as_, engineer, job):
    text = page(as_, engineer, job)
    assert "Set-out sheet for two people with tapes: 18 cones" in text and "Square with 9, 12, 15 m" in text
    # By hand, cones 1 to 6: 15 m along, 2.3235 m and half a base of 0.15 m on either side across.
    assert f"{(15**2 + (2.3235 + 0.3) ** 2) ** 0.5:.3f} m" in text


def test_the_outlook_and_the_first_speed(as_, engineer, measured_job):
    text = page(as_, engineer, measured_job)
    assert "Suggested first speed 80 km/h." in text and "Be careful at 100, 110 km/h" in text
    assert 'class="drawing outlook"' in text and "grip 0.65 g" in text and "Planning aid only" in text


def test_small_margins_lower_the_first_speed_on_screen(as_, engineer, job, site, driver):
    vehicle = job.vehicle
    vehicle.cg_height_mm, vehicle.overall_height_mm = 1150, 2600
    vehicle.track_front_mm = vehicle.track_rear_mm = 1400
    vehicle.save()
    book(job, site=site, driver=driver, engineer=engineer)
    text = page(as_, engineer, job)
    assert "60, 70, 80, 90, 100, 110 km/h" in text and "Small margins: first attempt at or below 60 km/h" in text


def test_the_axle_lift_gives_the_height_with_its_error(as_, engineer, measured_job):
    text = page(as_, engineer, measured_job)
    assert re.search(r"<strong>75\d ± 1\d mm</strong>, from 3 steps of an axle lift", text)
    assert len(re.findall(r'data-label="Centre of gravity">\d{3} ± \d\d mm<', text)) == 2
    assert "Height of the centre of gravity, step 3 of the lift" in text
    assert "Behind the front axle" in text and "1,308 mm" in text


def test_the_site_and_whether_it_fits_where_it_is_booked(as_, engineer, measured_job, site):
    text = page(as_, engineer, measured_job)
    # Source: AASHTO at 110 km/h 213.7 m and 20 m of margin; run-up at 1.5 m/s² 311.2 m; course 125 m.
    assert "<strong>670 m × " in text
    assert f"{site}: " in text


def test_an_index_leads_to_every_part(as_, engineer, measured_job):
    text = page(as_, engineer, measured_job)
    targets = re.findall(r'href="#([\w-]+)"', text)
    assert len(targets) >= 8
    assert all(f'id="{target}"' in text for target in targets)


def test_every_deciding_number_opens_to_its_source(as_, engineer, measured_job):
    text = page(as_, engineer, measured_job)
    opened = re.findall(r'<details class="working">.*?</details>', text, re.DOTALL)
    assert len(opened) >= 30
    assert all("<dt>Formula</dt>" in one and re.search(r"<dt>Source</dt><dd>\S", one) for one in opened)


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
