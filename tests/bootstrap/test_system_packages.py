"""Missing system packages are found, installed where that is allowed, and named where it is not."""

import subprocess

import pytest

from config.bootstrap import apt, libraries, system
from config.bootstrap.speech import StopError


def test_nothing_is_missing_when_everything_loads():
    assert libraries.missing_packages(loads=lambda name: True, has_font=lambda: True, platform="linux") == []


@pytest.mark.parametrize(
    ("library", "package"),
    [
        ("libpango-1.0.so.0", "libpango-1.0-0"),
        ("libpangoft2-1.0.so.0", "libpangoft2-1.0-0"),
        ("libharfbuzz-subset.so.0", "libharfbuzz-subset0"),
    ],
)
def test_a_library_that_does_not_load_names_its_package(library, package):
    found = libraries.missing_packages(loads=lambda name: name != library, has_font=lambda: True, platform="linux")
    assert found == [package]


def test_elsewhere_than_on_linux_pango_is_spoken_of(capsys):
    assert libraries.missing_packages(loads=lambda name: False, platform="darwin") == []
    assert "Pango" in capsys.readouterr().err


def test_a_missing_font_names_its_package():
    found = libraries.missing_packages(loads=lambda name: True, has_font=lambda: False, platform="linux")
    assert found == ["fonts-dejavu-core"]


def test_a_library_counts_as_there_only_when_it_loads():
    assert libraries.loads(None)  # the C library of this very process
    assert not libraries.loads("libno-such-thing-at-all.so.9")


def test_the_font_is_looked_for_in_folders_below(tmp_path):
    assert not libraries.has_font([tmp_path, tmp_path / "not-there"])
    (tmp_path / "truetype" / "dejavu").mkdir(parents=True)
    (tmp_path / "truetype" / "dejavu" / "DejaVuSans.ttf").touch()
    assert libraries.has_font([tmp_path])


@pytest.fixture
def apt_get_is_here(monkeypatch):
    monkeypatch.setattr(apt.shutil, "which", lambda name: f"/usr/bin/{name}")


@pytest.mark.usefixtures("apt_get_is_here")
def test_without_the_right_to_install_the_command_is_named(monkeypatch):
    monkeypatch.setattr(apt, "right_to_install", lambda: None)
    with pytest.raises(StopError) as stopped:
        apt.install(["libpango-1.0-0", "fonts-dejavu-core"], why="The PDFs need it.")
    said = str(stopped.value)
    assert "The PDFs need it." in said
    assert "it is not root" in said
    assert "sudo apt-get install -y libpango-1.0-0 fonts-dejavu-core" in said


def test_without_apt_get_the_packages_are_named(monkeypatch):
    monkeypatch.setattr(apt.shutil, "which", lambda name: None)
    with pytest.raises(StopError, match=r"no apt-get.*chromium"):
        apt.install(["chromium"], why="Browser tests.")


@pytest.mark.usefixtures("apt_get_is_here")
@pytest.mark.parametrize(
    ("user", "sudo_answers", "expected"),
    [(0, False, ()), (1000, True, ("/usr/bin/sudo", "-n")), (1000, False, None)],
)
def test_root_may_install_and_others_only_where_sudo_asks_nothing(monkeypatch, user, sudo_answers, expected):
    def sudo(command, **_):
        return subprocess.CompletedProcess(command, 0 if sudo_answers else 1)

    monkeypatch.setattr(apt.os, "geteuid", lambda: user)
    monkeypatch.setattr(apt.subprocess, "run", sudo)
    assert apt.right_to_install() == expected


@pytest.mark.usefixtures("apt_get_is_here")
def test_a_failed_installation_is_explained(monkeypatch):
    def offline(command, **_):
        return 100, "E: Failed to fetch the list  Temporary failure resolving 'mirror.example'\n"

    monkeypatch.setattr(apt, "right_to_install", lambda: ())
    monkeypatch.setattr(apt, "run_watched", offline)
    with pytest.raises(StopError, match=r"Installing chromium with apt-get did not work\.\nThe network"):
        apt.install(["chromium"], why="Browser tests.")


@pytest.mark.usefixtures("apt_get_is_here")
def test_what_is_installed_is_exactly_what_was_asked_for(monkeypatch):
    commands = []
    monkeypatch.setattr(apt, "right_to_install", lambda: ("/usr/bin/sudo", "-n"))
    monkeypatch.setattr(apt, "run_watched", lambda command, **_: commands.append(command) or (0, ""))
    apt.install(["chromium"], why="Browser tests.")
    assert [command[:2] for command in commands] == [["/usr/bin/sudo", "-n"]] * 2
    assert commands[-1][-4:] == ["install", "-y", "--no-install-recommends", "chromium"]


class Need:
    def __init__(self, why, packages):
        self.WHY = why
        self.missing_packages = lambda: packages


def test_all_that_is_missing_is_asked_for_at_once(monkeypatch):
    asked = []
    monkeypatch.setattr(apt, "install", lambda packages, why: asked.append((packages, why)))
    system.provide(Need("For A.", ["a"]), Need("For B.", []), Need("For C.", ["c1", "c2"]))
    assert asked == [(["a", "c1", "c2"], "For A.\nFor C.")]


def test_nothing_is_asked_for_when_nothing_is_missing(monkeypatch):
    monkeypatch.setattr(apt, "install", lambda packages, why: pytest.fail("nothing was missing"))
    system.provide(Need("For A.", []), Need("For B.", []))
