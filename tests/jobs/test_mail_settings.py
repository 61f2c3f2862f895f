"""A real mail server is set up from the environment; what is not usable is refused at the start."""

import os
import subprocess
import sys

import pytest

from config import settings as house

SHOW = (
    "from config import settings as s; "
    "print(s.EMAIL_BACKEND.split('.')[-2], s.EMAIL_HOST, s.EMAIL_PORT, s.EMAIL_USE_TLS, s.EMAIL_USE_SSL, "
    "s.EMAIL_HOST_USER, s.EMAIL_HOST_PASSWORD, s.EMAIL_TIMEOUT)"
)


def settings_with(tmp_path, **environment):
    clean = {key: value for key, value in os.environ.items() if not key.startswith("JOBBOOK_EMAIL")}
    env = clean | {"JOBBOOK_DATA_DIR": str(tmp_path)} | {f"JOBBOOK_EMAIL_{k}": v for k, v in environment.items()}
    command = [sys.executable, "-c", SHOW]
    return subprocess.run(command, env=env, cwd=house.BASE_DIR, capture_output=True, text=True, check=False)


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
    assert settings_with(tmp_path, **environment).stdout.rstrip("\n") == shown


def test_another_security_is_refused_with_what_is_allowed(tmp_path):
    assert "Allowed: starttls, tls, none." in settings_with(tmp_path, SECURITY="maybe").stderr
