"""Sites: added and kept up to date."""

from datetime import time

import pytest
from django.urls import reverse

from testing.models import Site
from testing.scheduling import services
from tests.scheduling_factories import level_site, ready_job, wanted

pytestmark = pytest.mark.django_db
ADD = "/planner/sites/add/"


def form(**changed):
    values = {
        "name": "Mulga strip", "place": "Mulga Flat", "time_zone": "Australia/Brisbane", "opens": "06:00",
        "closes": "17:30", "length_m": "1,250", "width_m": "24.5", "level": "yes",
        "surface": "sealed", "hire_aud": "380",
    }  # fmt: skip
    return {**values, **changed}


def test_a_site_is_added(as_, engineer):
    response = as_(engineer).post(ADD, form())
    assert response.status_code == 302
    site = Site.objects.get()
    assert (site.length_m, site.width_m, site.level, site.closes) == (1250, 24.5, True, time(17, 30))
    assert site.time_zone == "Australia/Brisbane"


@pytest.mark.parametrize(("word", "level"), [("yes", True), ("no", False), ("", None)])
def test_level_is_yes_no_or_not_known(as_, engineer, word, level):
    as_(engineer).post(ADD, form(level=word))
    site = Site.objects.get()
    assert site.level is level
    page = as_(engineer).get(reverse("testing:site", args=[site.pk])).content.decode()
    assert f'<option value="{word}" selected>' in page


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("name", "x" * 81),
        ("name", "a\x00b"),
        ("time_zone", "Mars/Olympus"),
        ("time_zone", ""),
        ("opens", "25:00"),
        ("opens", ""),
        ("closes", "06:00"),
        ("closes", "05:00"),
        ("length_m", "49"),
        ("length_m", "10001"),
        ("length_m", "nan"),
        ("length_m", "inf"),
        ("length_m", "long"),
        ("length_m", ""),
        ("width_m", "2.9"),
        ("width_m", "-20"),
        ("width_m", "1e3"),
        ("level", "perhaps"),
        ("hire_aud", "-1"),
        ("hire_aud", "NaN"),
        ("hire_aud", "1" * 30),
        ("hire_aud", "1.234"),
        ("surface", "x" * 81),
        ("place", "x" * 5000),
    ],
)
def test_bad_input_is_answered_at_the_field(as_, engineer, field, value):
    response = as_(engineer).post(ADD, form(**{field: value}))
    assert response.status_code == 200
    assert response.context["form"].errors.keys() == {field}
    assert not Site.objects.exists()


def test_two_sites_have_two_names(as_, engineer):
    level_site(name="Mulga strip")
    assert as_(engineer).post(ADD, form()).context["form"].errors.keys() == {"name"}


def test_a_site_is_changed(as_, engineer):
    site = level_site()
    as_(engineer).post(reverse("testing:site", args=[site.pk]), form())
    site.refresh_from_db()
    assert (site.name, site.length_m) == ("Mulga strip", 1250)


def test_the_zone_stays_once_times_were_entered_in_it(as_, engineer):
    site = level_site()
    services.book(by=engineer, job=ready_job(), **wanted(site=site))
    url = reverse("testing:site", args=[site.pk])
    errors = as_(engineer).post(url, form(time_zone="Australia/Perth")).context["form"].errors
    assert "already" in errors["time_zone"][0]
    assert as_(engineer).post(url, form(time_zone=site.time_zone)).status_code == 302


def test_only_who_plans_changes_a_site(as_, desk, auditor):
    site = level_site()
    for user in (desk, auditor):
        assert as_(user).post(reverse("testing:site", args=[site.pk]), form()).status_code == 403
        assert as_(user).post(ADD, form()).status_code == 403


def test_a_site_that_does_not_exist(as_, engineer):
    for pk in (999, 10**30):
        assert as_(engineer).get(f"/planner/sites/{pk}/").status_code == 404


def test_where_it_lies_its_ends_and_its_keeper(as_, engineer):
    facts = form(latitude_deg="-33.28", longitude_deg="149.1", before_m="200", after_m="150", contact="Warden",
                 email="strip@example.com", phone="0491 570 006")  # fmt: skip
    assert as_(engineer).post(ADD, facts).status_code == 302
    site = Site.objects.get()
    assert (site.latitude_deg, site.longitude_deg, site.before_m, site.after_m) == (-33.28, 149.1, 200, 150)
    assert site.located


@pytest.mark.parametrize("latitude", ["-66.6", "78.2", "90", "-90"])
def test_a_place_where_the_sun_does_not_rise_every_day_is_refused_with_what_is_allowed(as_, engineer, latitude):
    """Polar circles at about 66.6°; with the refraction of 34' and the radius of 16' the sun still rises at 65.7°."""
    errors = as_(engineer).post(ADD, form(latitude_deg=latitude, longitude_deg="20")).context["form"].errors
    assert "does not rise and set on every day" in errors["latitude_deg"][0]
    assert "-65.7 to 65.7" in errors["latitude_deg"][0]


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"latitude_deg": "-33.3"}, "longitude_deg"),
        ({"longitude_deg": "149"}, "latitude_deg"),
        ({"latitude_deg": "91", "longitude_deg": "149"}, "latitude_deg"),
        ({"latitude_deg": "-33", "longitude_deg": "181"}, "longitude_deg"),
        ({"latitude_deg": "south", "longitude_deg": "149"}, "latitude_deg"),
        ({"before_m": "-1"}, "before_m"),
        ({"before_m": "800", "after_m": "450"}, "after_m"),
        ({"email": "nobody"}, "email"),
        ({"phone": "x" * 31}, "phone"),
        ({"contact": "a\x00b"}, "contact"),
    ],
)
def test_what_does_not_go_together_is_said_at_the_field(as_, engineer, facts, field):
    assert as_(engineer).post(ADD, form(**facts)).context["form"].errors.keys() == {field}
