"""What every answer carries, and the page for whatever watches over the installation."""

import json
import re
from unittest import mock

import pytest
from django.conf import settings
from django.db import OperationalError, connection

from jobs.owners import opened
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("address", ["/sign-in/", "/jobs/", "/check/", "/health/", "/nothing/"])
def test_only_our_own_scripts_and_styles_run(as_, desk, address):
    policy = as_(desk).get(address)["Content-Security-Policy"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'self'"
    assert (rules["object-src"], rules["base-uri"], rules["frame-ancestors"]) == ("'none'",) * 3
    assert not re.search(r"unsafe|\*|https?:", policy)
    # Scripts and styles have no rule of their own: the strict one holds for them.
    assert not {"script-src", "style-src"} & rules.keys()


@pytest.mark.parametrize("address", ["/jobs/", "/jobs/{job}/", "/jobs/{job}/receipt.pdf", "/rules/", "/nothing/"])
def test_no_browser_keeps_what_people_see_who_are_signed_in(as_, engineer, job, address):
    answer = as_(engineer).get(address.format(job=job.number))
    assert answer["Cache-Control"] == "private, no-store"


def test_a_fragment_and_a_refusal_are_not_kept_either(as_, desk):
    client = as_(desk)
    assert client.get("/jobs/", headers={"hx-request": "true"})["Cache-Control"] == "private, no-store"
    turned_away = client.get("/workshop/")
    assert (turned_away.status_code, turned_away["Cache-Control"]) == (403, "private, no-store")


def test_what_a_view_says_itself_stands(as_, admin_user):
    assert as_(admin_user).get("/accounts/")["Cache-Control"].startswith("max-age=0, no-cache")


def test_what_anybody_may_see_is_left_alone(as_, admin_user):
    client = as_(admin_user)
    # Nothing is here yet, and the view that says so is public.
    assert "Cache-Control" not in client.get("/workshop-logo/")
    script = client.get("/static/kept.js")
    script.close()
    assert "public" in script["Cache-Control"]


def test_no_page_is_left_in_the_store_of_a_tab(as_, desk):
    """htmx keeps copies of the pages it leaves, with names and telephones, unless it is told to ask again."""
    (settings_of_htmx,) = re.findall(
        r"<meta name=\"htmx-config\" content='(.*?)'", as_(desk).get("/jobs/").content.decode()
    )
    told = json.loads(settings_of_htmx)
    assert (told["historyCacheSize"], told["refreshOnHistoryMiss"]) == (0, True)


def test_health_says_one_word(client):
    answer = client.get("/health/")
    assert (answer.status_code, answer.content) == (200, b"ok")
    assert "no-store" in answer["Cache-Control"]


def test_health_says_when_the_database_does_not_answer(client):
    with mock.patch.object(connection, "cursor", side_effect=OperationalError("gone")):
        answer = client.get("/health/")
    assert answer.status_code == 503
    assert b"gone" not in answer.content


def test_a_session_lasts_a_working_day():
    assert settings.SESSION_COOKIE_AGE == 14 * 3600


def test_the_browser_that_a_code_opens_a_page_in_gets_another_session(client, rf):
    job = JobFactory()
    session = client.session
    session.save()
    request = rf.get("/")
    request.session = session
    before = session.session_key
    opened.remember(request, job.owner_links.get())
    assert before and request.session.session_key != before
