"""`manage.py workup`: one case in, the whole work-up out, and no database anywhere."""

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command

from tests.calculations.cases import CASES, EXAMPLE
from vehicles.management.commands.workup import Command

ENV = os.environ | {"DJANGO_SETTINGS_MODULE": "tests.settings"}
WAGON = str(CASES / "nsw_wagon.json")


def run(name, *options, stdin=b"", monkeypatch=None):
    """Exit code, standard output and standard error of the command."""
    if monkeypatch:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin)))
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("workup", name, *options, stdout=out, stderr=err)
    except SystemExit as stop:
        return stop.code, out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def test_json(monkeypatch):
    code, out, err = run(WAGON, "--format", "json")
    assert (code, err) == (0, "")
    assert json.loads(out)["masses"]["tm2_kg"] == 2621.54
    piped = run("-", "--format", "json", stdin=json.dumps(EXAMPLE).encode(), monkeypatch=monkeypatch)
    assert piped == (code, out, err)


def test_text_is_the_default():
    code, out, err = run(WAGON)
    assert (code, err) == (0, "")
    assert "LT2, Lane-change test: REQUIRED" in out
    assert run(WAGON, "--format", "text")[1] == out


def test_every_problem_one_a_line_and_nothing_on_standard_output(monkeypatch):
    bad = b'{"vehicle": {"gvm": 1, "gvm_kg": NaN, "seats": 99}, "crew": {"driver_kg": true}}'
    code, out, err = run("-", stdin=bad, monkeypatch=monkeypatch)
    assert (code, out) == (2, "")
    paths = [line.split(": ")[0] for line in err.splitlines()]
    assert sorted(paths) == ["crew.driver_kg", "vehicle.gvm", "vehicle.gvm_kg", "vehicle.seats"]


@pytest.mark.parametrize("name", ["no-such-file.json", str(CASES), "a\0b"])
def test_a_file_that_cannot_be_read(name):
    code, out, err = run(name)
    assert (code, out) == (2, "")
    assert err.startswith(f"{name}: cannot be read (")
    assert len(err.splitlines()) == 1


@pytest.mark.parametrize("content", [b"", b"{", b"[1]", b"\xff"])
def test_what_is_no_json_object(content, tmp_path):
    path = tmp_path / "case.json"
    path.write_bytes(content)
    code, out, err = run(str(path))
    assert (code, out) == (2, "")
    assert err.startswith("case: ")


def test_it_asks_for_no_database():
    assert Command.requires_system_checks == []
    assert Command.requires_migrations_checks is False


STRAY = """
import ctypes, sys
import django
from django.core.management import call_command
django.setup()
from vehicles.management.commands import workup
real = workup.work_up
def noisy(*args, **options):
    ctypes.CDLL(None).printf(b"a line that a library prints by itself\\n")
    return real(*args, **options)
workup.work_up = noisy
call_command("workup", sys.argv[1], "--format", "json")
"""


def test_what_a_library_prints_by_itself_does_not_follow_the_result():
    root = Path(__file__).resolve().parent.parent.parent
    done = subprocess.run([sys.executable, "-c", STRAY, WAGON], capture_output=True, cwd=root, check=True, env=ENV)
    assert json.loads(done.stdout)["masses"]["tm2_kg"] == 2621.54
    assert b"a line that a library prints by itself" in done.stderr
