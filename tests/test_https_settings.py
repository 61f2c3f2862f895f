"""How far a browser is bound to HTTPS is the installation's own choice; by default it is this host alone."""

import secrets

import pytest
from django.conf import settings

from tests.fresh_settings import python_with, settings_with

NAMES = ("SECURE_HSTS_SECONDS", "SECURE_HSTS_INCLUDE_SUBDOMAINS", "SECURE_HSTS_PRELOAD")
A_YEAR = 365 * 24 * 3600


@pytest.mark.parametrize(
    ("environment", "shown"),
    [
        ({}, "0 False False"),
        ({"JOBBOOK_HSTS": "preload"}, "0 False False"),
        ({"JOBBOOK_HTTPS": "1"}, f"{A_YEAR} False False"),
        ({"JOBBOOK_HTTPS": "1", "JOBBOOK_HSTS": "host"}, f"{A_YEAR} False False"),
        ({"JOBBOOK_HTTPS": "1", "JOBBOOK_HSTS": "subdomains"}, f"{A_YEAR} True False"),
        ({"JOBBOOK_HTTPS": "1", "JOBBOOK_HSTS": "preload"}, f"{A_YEAR} True True"),
    ],
)
def test_the_installation_says_whom_it_speaks_for(tmp_path, environment, shown):
    assert settings_with(tmp_path, *NAMES, **environment).stdout.strip() == shown


def test_another_word_is_refused_with_what_is_allowed(tmp_path):
    refused = settings_with(tmp_path, *NAMES, JOBBOOK_HTTPS="1", JOBBOOK_HSTS="everybody")
    assert "JOBBOOK_HSTS is “everybody”. Allowed: host, subdomains, preload." in refused.stderr


def test_the_check_before_an_installation_passes_and_only_the_choice_is_silent(tmp_path):
    assert settings.SILENCED_SYSTEM_CHECKS == ["security.W005", "security.W021"]
    check = ("-m", "django", "check", "--deploy", "--fail-level", "WARNING")
    real = {"JOBBOOK_HOSTS": "job-book.example", "JOBBOOK_SECRET_KEY": secrets.token_urlsafe(60)}
    assert python_with(tmp_path, *check, **real, JOBBOOK_HTTPS="1").returncode == 0
    # The check would find the rest: without HTTPS it does.
    assert "security.W004" in python_with(tmp_path, *check, **real).stderr
