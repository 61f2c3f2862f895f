"""Signing in: tries run out for a while, and a stranger cannot keep anybody from their own account."""

import pytest

from jobs import sign_in, throttle
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db
ONE, OTHER = "192.0.2.1", "198.51.100.7"


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    class Clock:
        now = 1_800_000_000.0

    monkeypatch.setattr(throttle, "time", lambda: Clock.now)
    return Clock


def attempt(client, name, typed="wrong", place=ONE):
    return client.post("/sign-in/", {"username": name, "password": typed}, REMOTE_ADDR=place)


def run_out(client, name, place=ONE):
    for _ in range(sign_in.AT_ONE_PLACE.most):
        assert attempt(client, name, place=place).status_code == 200


@pytest.mark.parametrize("name", ["desk", "DESK", "nobody-of-that-name"])
def test_wrong_passwords_run_out_and_the_page_says_how_long(client, desk, name):
    run_out(client, name)
    late = attempt(client, name, PASSWORD)
    assert late.status_code == 429
    assert late["Retry-After"] == "600"
    assert "Wait 10 minutes" in late.content.decode()
    assert "_auth_user_id" not in client.session


def test_after_the_wait_the_right_password_opens(client, desk, clock):
    run_out(client, "desk")
    clock.now += int(attempt(client, "desk")["Retry-After"])
    assert attempt(client, "desk", PASSWORD).status_code == 302


def test_a_stranger_elsewhere_locks_nobody_out(client, desk):
    run_out(client, "desk", place=OTHER)
    assert attempt(client, "desk", PASSWORD, place=OTHER).status_code == 429
    assert attempt(client, "desk", PASSWORD).status_code == 302


def test_a_right_password_in_time_takes_back_the_wrong_ones(client, desk):
    for _ in range(3 * sign_in.AT_ONE_PLACE.most):
        attempt(client, "desk")
        assert attempt(client, "desk", PASSWORD).status_code == 302


def test_many_names_from_one_place_run_out_together(client, desk):
    for n in range(sign_in.FROM_ONE_PLACE.most):
        assert attempt(client, f"name{n}").status_code == 200
    assert attempt(client, "desk", PASSWORD).status_code == 429
    assert attempt(client, "desk", PASSWORD, place=OTHER).status_code == 302


def test_one_name_tried_from_everywhere_leaves_each_place_one_try(client, desk):
    for n in range(sign_in.OF_ONE_NAME.most):
        attempt(client, "desk", place=f"203.0.113.{n}")
    assert attempt(client, "desk", place=OTHER).status_code == 200
    assert attempt(client, "desk", place=OTHER).status_code == 429
    assert attempt(client, "desk", PASSWORD).status_code == 302


def test_the_accounts_have_no_door_of_their_own(client, admin_user):
    for method in (client.get, client.post):
        assert method("/accounts/login/?next=/accounts/").url == "/sign-in/?next=/accounts/"
    reply = client.post("/sign-in/?next=/accounts/", {"username": "admin", "password": PASSWORD, "next": "/accounts/"})
    assert reply.url == "/accounts/"


def test_who_may_not_see_the_accounts_is_told_so(as_, desk):
    page = as_(desk).get("/accounts/", follow=True).content.decode()
    assert "that page is not open to you" in page


def test_places_are_counted_apart_by_the_proxy_not_by_its_address(client, desk, settings):
    settings.HTTPS = True
    for _ in range(sign_in.AT_ONE_PLACE.most + 1):
        client.post(
            "/sign-in/", {"username": "desk", "password": "wrong"}, secure=True, HTTP_X_FORWARDED_FOR=f"1.1.1.1, {ONE}"
        )
    sent = {"username": "desk", "password": PASSWORD}
    assert client.post("/sign-in/", sent, secure=True, HTTP_X_FORWARDED_FOR=ONE).status_code == 429
    assert client.post("/sign-in/", sent, secure=True, HTTP_X_FORWARDED_FOR=OTHER).status_code == 302


def test_what_is_wrong_is_said_once(client, desk):
    page = client.post("/sign-in/", {"username": "desk", "password": "wrong"}).content.decode()
    assert page.count("enter a correct username") == 1
