"""A real mail server is set up from the environment; what is not usable is refused at the start."""

import pytest

from tests.fresh_settings import settings_with

NAMES = (
    *("EMAIL_BACKEND.split('.')[-2]", "EMAIL_HOST", "EMAIL_PORT", "EMAIL_USE_TLS", "EMAIL_USE_SSL"),
    *("EMAIL_HOST_USER", "EMAIL_HOST_PASSWORD", "EMAIL_TIMEOUT"),
)


def mail_with(tmp_path, **environment):
    return settings_with(tmp_path, *NAMES, **{f"JOBBOOK_EMAIL_{name}": value for name, value in environment.items()})


@pytest.mark.parametrize(
    ("environment", "shown"),
    [
        ({}, "console  587 True False   10.0"),
        ({"HOST": "mail.example", "USER": "u", "PASSWORD": "p"}, "smtp mail.example 587 True False u p 10.0"),
        ({"HOST": "mail.example", "SECURITY": "tls", "TIMEOUT_S": "3"}, "smtp mail.example 465 False True   3.0"),
        ({"HOST": "mail.example", "SECURITY": "none", "PORT": "2525"}, "smtp mail.example 2525 False False   10.0"),
    ],
)
def test_the_environment_names_the_mail_server(tmp_path, environment, shown):
    assert mail_with(tmp_path, **environment).stdout.rstrip("\n") == shown


def test_another_security_is_refused_with_what_is_allowed(tmp_path):
    assert "Allowed: starttls, tls, none." in mail_with(tmp_path, SECURITY="maybe").stderr
