"""What every answer carries, and the page for whatever watches over the installation."""

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
