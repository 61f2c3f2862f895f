"""manage.py takes every command to a Python that can run it, and ends in words where it cannot."""

import ast
import errno
import os
import subprocess
import sys

import pytest

from config.bootstrap import demo, entry
from config.bootstrap.places import MANAGE
from config.bootstrap.speech import StopError


def test_a_bare_python_hands_the_command_to_the_environment(monkeypatch):
    became = []
    monkeypatch.setattr(entry.environment, "serves_here", lambda: False)
    monkeypatch.setattr(entry.system, "provide", lambda *needs: None)
    monkeypatch.setattr(entry.environment, "provide", lambda: "/house/.venv/bin/python")
    monkeypatch.setattr(os, "execv", lambda path, argv: became.append((path, argv)))
    entry.enter(["manage.py", "workup", "case.json", "--format", "json"])
    assert became == [
        (
            "/house/.venv/bin/python",
            ["/house/.venv/bin/python", "manage.py", "workup", "case.json", "--format", "json"],
        )
    ]


def test_a_python_that_has_django_goes_straight_on(monkeypatch):
    monkeypatch.setattr(entry.environment, "serves_here", lambda: True)
    monkeypatch.setattr(entry.environment, "provide", lambda: pytest.fail("set-up was not needed"))
    assert entry.enter(["manage.py", "migrate"]) is None


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (StopError("Port 8000 is taken"), "Port 8000 is taken"),
        (OSError(errno.ENOSPC, "No space left on device"), "The disk is too full"),
        (PermissionError(errno.EACCES, "Permission denied", ".venv"), "may not write"),
    ],
)
def test_a_failure_ends_in_words_not_in_a_traceback(monkeypatch, error, said):
    def fail(arguments):
        raise error

    monkeypatch.setitem(entry.OWN_COMMANDS, "demo", fail)
    with pytest.raises(SystemExit) as ended:
        entry.enter(["manage.py", "demo"])
    assert said in str(ended.value.code)


def test_ctrl_c_during_set_up_ends_quietly(monkeypatch, capsys):
    def interrupted(arguments):
        raise KeyboardInterrupt

    monkeypatch.setitem(entry.OWN_COMMANDS, "test", interrupted)
    with pytest.raises(SystemExit) as ended:
        entry.enter(["manage.py", "test"])
    assert ended.value.code == 130
    assert "goes on from here" in capsys.readouterr().err


def test_an_old_python_can_read_manage_py_and_is_told():
    ast.parse(MANAGE.read_text(), feature_version=(3, 4))
    pretend = "import sys, runpy; sys.version_info = (3, 9, 2); "
    pretend += f"runpy.run_path({str(MANAGE)!r}, run_name='__main__')"
    done = subprocess.run([sys.executable, "-c", pretend], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert done.stderr.startswith("The job book needs Python 3.11 or later; this is Python 3.9.")


def test_without_a_command_the_two_commands_are_shown():
    done = subprocess.run([sys.executable, str(MANAGE)], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "python3 manage.py demo" in done.stderr
    assert "python3 manage.py test" in done.stderr


def test_the_demo_never_touches_the_database_of_a_real_installation(monkeypatch, capsys):
    monkeypatch.setenv("DATABASE_URL", "postgres://somewhere/real")
    env = demo.own_environment()
    assert "DATABASE_URL" not in env
    # Its papers may lead to this machine; those of a real one may not.
    assert env["JOBBOOK_DEMO"] == "1"
    assert "leaves that database alone" in capsys.readouterr().err


def test_a_django_command_that_fails_stops_the_demo(capfd):
    with pytest.raises(StopError, match=r"`manage\.py no_such_command` ended with an error"):
        demo.run_django(sys.executable, dict(os.environ), "no_such_command")
    assert "no_such_command" in capfd.readouterr().err
