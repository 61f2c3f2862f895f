"""The virtual environment is set up once, and again only when the lock file changed or it broke."""

import shutil
import tomllib
from collections import namedtuple
from importlib import metadata

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from config.bootstrap import environment
from config.bootstrap.places import ROOT
from config.bootstrap.speech import StopError

DiskUsage = namedtuple("DiskUsage", "total used free")


@pytest.fixture
def lock(tmp_path):
    path = tmp_path / "requirements.lock"
    path.write_text("django==5.2.99 \\\n    --hash=sha256:00\ndjango-htmx==1.0\n")
    return path


@pytest.fixture
def house(tmp_path, lock, monkeypatch):
    """A house of its own, whose tools are only recorded, with nothing missing but the packages."""
    ran = []
    monkeypatch.setattr(environment, "STAMP", tmp_path / "stamp")
    monkeypatch.setattr(environment, "_works", lambda: True)
    monkeypatch.setattr(environment, "run_watched", lambda command, **_: ran.append(command) or (0, ""))
    monkeypatch.setattr(environment, "is_current", lambda: is_current(tmp_path / "stamp"))
    return ran


def is_current(stamp):
    return stamp.exists() and stamp.read_text().strip() == environment.lock_hash()


def test_the_stamp_holds_for_this_lock_file_only(tmp_path, lock):
    stamp = tmp_path / "stamp"
    assert not environment.is_current(stamp=stamp, lock=lock)
    stamp.write_text(environment.lock_hash(lock) + "\n")
    assert environment.is_current(stamp=stamp, lock=lock)
    lock.write_text(lock.read_text() + "pint==0.25\n")
    assert not environment.is_current(stamp=stamp, lock=lock)


def test_the_second_time_nothing_is_installed(house):
    environment.provide()
    assert len(house) == 1
    assert "--require-hashes" in house[0]
    environment.provide()
    assert len(house) == 1


def test_the_lock_names_everything_so_that_nothing_is_looked_for_beside_it(house):
    environment.provide()
    assert "--no-deps" in house[0]
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    open_, seen = [*declared["project"]["dependencies"], *declared["dependency-groups"]["dev"]], set()
    while open_:
        asked = Requirement(open_.pop())
        if str(asked) in seen:
            continue
        seen.add(str(asked))
        locked = environment.locked_version(canonicalize_name(asked.name))
        assert locked, f"{asked} is not in the lock"
        assert asked.specifier.contains(locked, prereleases=True), f"{asked} is not what the lock holds: {locked}"
        assert metadata.version(asked.name) == locked
        for needed in map(Requirement, metadata.requires(asked.name) or []):
            if not needed.marker or any(needed.marker.evaluate({"extra": extra}) for extra in {"", *asked.extras}):
                open_.append(str(needed))
    assert any("[" in asked for asked in seen), "no extra was followed"


def test_a_failed_installation_leaves_no_stamp(house, monkeypatch):
    monkeypatch.setattr(environment, "run_watched", lambda command, **_: (1, "[Errno 28] No space left on device"))
    with pytest.raises(StopError, match="The disk is too full"):
        environment.provide()
    assert not environment.STAMP.exists()


def test_a_broken_environment_is_made_anew(house, monkeypatch):
    monkeypatch.setattr(environment, "_works", lambda: False)
    environment.provide()
    assert "--clear" in house[0]
    assert "--require-hashes" in house[1]


def test_too_little_disk_is_said_before_the_work(house, monkeypatch):
    monkeypatch.setattr(environment, "_works", lambda: False)
    monkeypatch.setattr(shutil, "disk_usage", lambda path: DiskUsage(10**11, 10**11, 300_000_000))
    with pytest.raises(StopError, match=r"Only 0\.3 GB are free"):
        environment.provide()
    assert house == []


@pytest.mark.parametrize(
    ("works", "python_is_whole", "expected"),
    [(False, False, ["python3.11-venv"]), (False, True, []), (True, False, [])],
)
def test_the_part_of_python_that_debian_keeps_apart(monkeypatch, works, python_is_whole, expected):
    monkeypatch.setattr(environment, "_works", lambda: works)
    monkeypatch.setattr(environment.importlib.util, "find_spec", lambda name: python_is_whole or None)
    monkeypatch.setattr(environment.sys, "version_info", (3, 11, 2))
    assert environment.missing_packages() == expected


def test_the_locked_version_is_read_whole(lock):
    assert environment.locked_version("django", lock=lock) == "5.2.99"
    assert environment.locked_version("pint", lock=lock) is None


def test_pip_lines_become_a_count(capsys):
    watch = environment.PipProgress()
    watch("Collecting django==5.2.99 (from -r requirements.lock (line 1))")
    watch("  Downloading django.whl (8.3 MB)")
    watch("Requirement already satisfied: pint==0.25 in ./.venv/lib (from -r requirements.lock (line 9))")
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.splitlines() == ["  package 1: django==5.2.99", "  package 2: pint==0.25"]
