"""Typing the hours of a day."""

import pytest
from django.urls import reverse

from tests.scheduling_factories import in_days, level_site

pytestmark = pytest.mark.django_db
ROWS = "06:00 7.2 10.8 0\n07:00 10.8 14.4 0.2"


@pytest.fixture
def the_site():
    return level_site()


def post(client, site, **changed):
    values = {"day": in_days(20).isoformat(), "unit": "km/h", "hours": ROWS, "origin": "Bureau, issued at noon"}
    return client.post(reverse("testing:enter_forecast", args=[site.pk]), {**values, **changed})


def test_hours_are_kept_in_metres_per_second(as_, engineer, the_site):
    response = post(as_(engineer), the_site)
    assert response.status_code == 302
    assert response["Location"].endswith(f"?day={in_days(20)}")
    first, second = the_site.forecast.all()
    assert first.starts_at.astimezone(the_site.zone).hour == 6
    assert (first.wind_mps, first.gust_mps, second.wind_mps, second.rain_mm) == (2.0, 3.0, 3.0, 0.2)
    assert (first.origin, first.entered_by) == ("Bureau, issued at noon", engineer)


def test_an_hour_known_already_is_replaced_and_others_stay(as_, engineer, the_site):
    post(as_(engineer), the_site)
    before = the_site.forecast.last().entered_at
    post(as_(engineer), the_site, hours="07:00 18 - 0", origin="Newer")
    first, second = the_site.forecast.all()
    assert (first.wind_mps, second.wind_mps, second.gust_mps, second.origin) == (2.0, 5.0, None, "Newer")
    assert second.entered_at > before


def test_one_wrong_row_and_nothing_is_kept(as_, engineer, the_site):
    response = post(as_(engineer), the_site, hours=f"{ROWS}\n08:00 lots 1 0")
    assert "Line 3: Wind: “lots” is outside" in response.content.decode()
    assert not the_site.forecast.exists()
    again = as_(engineer).get(reverse("testing:enter_forecast", args=[the_site.pk])).content.decode()
    assert "08:00 lots 1 0" in again


@pytest.mark.parametrize("field", ["day", "unit", "hours", "origin"])
@pytest.mark.parametrize("value", ["", "\x00", "x" * 6000, "-1", "nan"])
def test_bad_input_is_answered_at_the_field(as_, engineer, the_site, field, value):
    if field == "origin" and value in ("-1", "nan"):
        assert post(as_(engineer), the_site, origin=value).status_code == 302
        return
    response = post(as_(engineer), the_site, **{field: value})
    assert response.status_code == 200
    assert response.context["form"].errors.keys() == {field}
    assert not the_site.forecast.exists()


def test_the_day_asked_for_is_filled_in(as_, engineer, the_site):
    url = reverse("testing:enter_forecast", args=[the_site.pk])
    assert 'value="2026-12-24"' in as_(engineer).get(url, {"day": "2026-12-24"}).content.decode()


def test_who_may_not_plan_may_not_enter(as_, desk, the_site):
    assert post(as_(desk), the_site).status_code == 403
