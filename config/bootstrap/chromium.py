"""Finds or installs the Chromium that the browser tests drive."""

import os
import shutil
import subprocess
from pathlib import Path

from .speech import StopError

NAMES = ("chromium", "google-chrome", "google-chrome-stable", "chromium-browser")
DOWNLOADED = "chromium-*/chrome-linux*/chrome"

WHY = "The browser tests drive a real Chromium, and none was found."
ON_UBUNTU = (
    f"{WHY}\n"
    "Ubuntu's own chromium package is only a pointer to a snap, which cannot be driven reliably. Run this\n"
    "(it fetches a Chromium and its libraries for the tests alone), then run the same command again:\n\n"
    "    sudo .venv/bin/python -m playwright install-deps chromium\n"
    "    .venv/bin/python -m playwright install chromium\n\n"
    "Or set CHROMIUM to the path of a Chromium or Chrome that is already here."
)


def starts(path):
    """True for a browser that answers; Ubuntu's pointer to the snap is there, but does not."""
    try:
        done = subprocess.run([path, "--version"], capture_output=True, timeout=60, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0


def candidates(environ, *, which=shutil.which, home=None):
    """Paths worth trying, the person's own choice first."""
    downloads = Path(environ.get("PLAYWRIGHT_BROWSERS_PATH") or (home or Path.home()) / ".cache/ms-playwright")
    found = [environ.get("JOBBOOK_CHROMIUM"), environ.get("CHROMIUM"), *map(which, NAMES)]
    found += [str(path) for path in sorted(downloads.glob(DOWNLOADED), reverse=True)]
    return [path for path in found if path]


def find(environ=os.environ, *, starts=starts, **places):
    return next((path for path in candidates(environ, **places) if starts(path)), None)


def is_ubuntu(os_release=Path("/etc/os-release")):
    return os_release.exists() and "ID=ubuntu" in os_release.read_text().splitlines()


def missing_packages():
    """Ubuntu's package is left alone: it brings the pointer, not the browser."""
    return [] if is_ubuntu() or find() else ["chromium"]


def require():
    """Return the path of a Chromium that starts, or stop and say how to come by one."""
    for name in ("JOBBOOK_CHROMIUM", "CHROMIUM"):
        chosen = os.environ.get(name)
        if chosen and not starts(chosen):
            raise StopError(f"{name} is set to {chosen}, but no browser starts there. Correct or unset it.")
    path = find()
    if not path:
        raise StopError(ON_UBUNTU if is_ubuntu() else f"{WHY}\nInstall the package chromium, or set CHROMIUM.")
    return path
