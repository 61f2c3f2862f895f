"""The browser for the browser tests: the person's own choice first, and only one that starts."""

import pytest

from config.bootstrap import chromium
from config.bootstrap.speech import StopError


@pytest.fixture
def program(tmp_path):
    def write(name, *, exit_code):
        path = tmp_path / name
        path.write_text(f"#!/bin/sh\nexit {exit_code}\n")
        path.chmod(0o755)
        return str(path)

    return write


def test_the_persons_choice_comes_first(tmp_path):
    found = chromium.candidates(
        {"CHROMIUM": "/opt/mine/chrome"}, which={"chromium": "/usr/bin/chromium"}.get, home=tmp_path
    )
    assert found == ["/opt/mine/chrome", "/usr/bin/chromium"]


def test_a_chromium_fetched_for_the_tests_is_found(tmp_path):
    fetched = tmp_path / ".cache" / "ms-playwright" / "chromium-1200" / "chrome-linux" / "chrome"
    fetched.parent.mkdir(parents=True)
    fetched.touch()
    assert chromium.candidates({}, which=lambda name: None, home=tmp_path) == [str(fetched)]


def test_a_pointer_that_does_not_start_is_passed_over(program, tmp_path):
    pointer, real = program("pointer", exit_code=1), program("real", exit_code=0)
    installed = {"chromium": pointer, "chromium-browser": real}
    assert chromium.find({}, which=installed.get, home=tmp_path) == real


def test_a_choice_that_does_not_start_is_named(monkeypatch):
    monkeypatch.delenv("JOBBOOK_CHROMIUM", raising=False)
    monkeypatch.setenv("CHROMIUM", "/opt/not-there/chrome")
    with pytest.raises(StopError, match="CHROMIUM is set to /opt/not-there/chrome"):
        chromium.require()


@pytest.fixture
def no_browser(monkeypatch):
    for name in ("JOBBOOK_CHROMIUM", "CHROMIUM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(chromium, "find", lambda: None)


@pytest.mark.usefixtures("no_browser")
def test_debian_has_a_package_for_it(monkeypatch):
    monkeypatch.setattr(chromium, "is_ubuntu", lambda: False)
    assert chromium.missing_packages() == ["chromium"]


@pytest.mark.usefixtures("no_browser")
def test_on_ubuntu_the_way_is_named_and_the_pointer_not_installed(monkeypatch):
    monkeypatch.setattr(chromium, "is_ubuntu", lambda: True)
    assert chromium.missing_packages() == []
    with pytest.raises(StopError, match="playwright install chromium"):
        chromium.require()


@pytest.mark.parametrize(("line", "expected"), [("ID=ubuntu", True), ("ID=debian", False)])
def test_ubuntu_is_told_from_debian(tmp_path, line, expected):
    os_release = tmp_path / "os-release"
    os_release.write_text(f'NAME="x"\n{line}\nID_LIKE=debian\n')
    assert chromium.is_ubuntu(os_release) is expected
