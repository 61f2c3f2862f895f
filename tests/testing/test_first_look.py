"""What the desk can tell the owner at once."""

import pytest

from tests.factories import JobFactory

pytestmark = pytest.mark.django_db


def first_look(as_, desk, job):
    return as_(desk).get(f"/jobs/{job.number}/first-look/").content.decode()


def test_a_lift_with_larger_tyres_needs_a_test_and_says_why(as_, desk, job):
    page = first_look(as_, desk, job)
    assert "<strong>Likely.</strong> Yes, a lane-change test will be needed." in page
    assert "Overall rise 77.3 mm is more than 75 mm" in page
    assert "Insurance cover for the market value" in page


def test_the_rough_cost_lies_in_the_usual_range(as_, desk, job):
    response = as_(desk).get(f"/jobs/{job.number}/first-look/")
    estimate = response.context["estimate"]
    # FACTS.md 4: usual price 2,000 to 2,500 AUD (common practice, no published source).
    assert 2000 <= estimate["low_aud"] <= estimate["likely_aud"] <= estimate["high_aud"] <= 2500


def test_a_small_lift_needs_none(as_, desk):
    job = JobFactory(modifications=[("suspension_lift", {"front_mm": 30.0, "rear_mm": 30.0})])
    page = first_look(as_, desk, job)
    assert "No, not by these facts." in page
    assert "Insurance cover" not in page


def test_what_is_missing_is_named(as_, desk):
    job = JobFactory(modifications=[("suspension_lift", {"front_mm": 30.0})])
    page = first_look(as_, desk, job)
    assert "Not known yet" in page
    assert "rear" in page


def test_contradicting_facts_are_shown_not_hidden(as_, desk):
    job = JobFactory(vehicle__front_axle_kg=900.0)
    assert "The facts contradict each other" in first_look(as_, desk, job)


def test_the_desk_hands_over_when_nothing_is_in_the_way(as_, desk):
    job = JobFactory(stage="booking")
    as_(desk).post(f"/jobs/{job.number}/move-on/", {"step": "booking"})
    job.refresh_from_db()
    assert job.stage == "triage"


def test_without_modifications_it_says_what_is_missing_and_does_not_move(as_, desk):
    job = JobFactory(stage="booking", modifications=[])
    assert "No modification entered" in first_look(as_, desk, job)
    response = as_(desk).post(f"/jobs/{job.number}/move-on/", {"step": "booking"}, follow=True)
    assert "No modification entered" in response.content.decode()
    job.refresh_from_db()
    assert job.stage == "booking"
