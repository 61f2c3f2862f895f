"""The virtual environment in .venv, holding exactly what config/requirements.lock names."""

import hashlib
import importlib.util
import os
import re
import shutil
import subprocess
import sys
from importlib import metadata

from .failures import DISK_FULL, in_words
from .places import LOCK, ROOT, VENV
from .speech import StopError, end_progress, progress, say
from .watch import run_watched

WHY = "Python's own tool for virtual environments is missing."
NEEDED_BYTES = 1_500_000_000
STAMP = VENV / "job-book-lock.sha256"


def python(venv=VENV):
    return str(venv / "bin" / "python")


def lock_hash(lock=LOCK):
    return hashlib.sha256(lock.read_bytes()).hexdigest()


def is_current(*, stamp=STAMP, lock=LOCK):
    """True when the last complete installation was of the lock file as it is now."""
    return stamp.exists() and stamp.read_text().strip() == lock_hash(lock)


def locked_version(name, *, lock=LOCK):
    found = re.search(rf"^{re.escape(name)}==(\S+)", lock.read_text(), re.MULTILINE)
    return found and found[1]


def serves_here():
    """True when the running interpreter itself can run the commands."""
    if os.path.realpath(sys.prefix) == os.path.realpath(VENV):
        return is_current()
    try:
        return metadata.version("django") == locked_version("django")
    except metadata.PackageNotFoundError:
        return False


def missing_packages():
    """Debian and Ubuntu keep the maker of virtual environments in a package of its own."""
    if _works() or all(importlib.util.find_spec(part) for part in ("venv", "ensurepip")):
        return []
    return [f"python{sys.version_info[0]}.{sys.version_info[1]}-venv"]


def provide():
    """Make .venv what the lock file says, quickly when it already is; return its Python."""
    works = _works()
    if works and is_current():
        return python()
    if not works:
        _check_disk()
        _create()
    _install()
    return python()


def _works():
    """False when .venv is missing, was left half made, or its Python has gone from the machine."""
    try:
        return subprocess.run([python(), "-c", "import pip"], capture_output=True, check=False).returncode == 0
    except OSError:
        return False


def _check_disk():
    free = shutil.disk_usage(ROOT).free
    if free < NEEDED_BYTES:
        raise StopError(f"Only {free / 1e9:.1f} GB are free. {DISK_FULL}")


def _create():
    say("Making the virtual environment in .venv ...")
    code, output = run_watched([sys.executable, "-m", "venv", "--clear", str(VENV)])
    if code:
        raise StopError(in_words(output, doing="Making the virtual environment in .venv"))


def _install():
    say("Installing the locked packages into .venv (the first time takes a few minutes) ...")
    STAMP.unlink(missing_ok=True)
    # The lock names everything. Left to look further, an older pip takes the newest release of what
    # is asked for with an extra, not the locked one, and refuses it for want of a hash.
    command = [python(), "-m", "pip", "install", "--require-hashes", "--no-deps", "--no-input"]
    command += ["--disable-pip-version-check", "-r", str(LOCK)]
    # A PYTHONPATH or user site of the person's own must not decide what gets installed.
    env = {**os.environ, "PYTHONNOUSERSITE": "1"}
    env.pop("PYTHONPATH", None)
    code, output = run_watched(command, on_line=PipProgress(), env=env)
    end_progress()
    if code:
        raise StopError(in_words(output, doing="Installing the locked packages"))
    STAMP.write_text(lock_hash() + "\n")


class PipProgress:
    """Turns pip's lines into a count of packages."""

    def __init__(self):
        self.count = 0

    def __call__(self, line):
        if line.startswith(("Collecting ", "Requirement already satisfied: ")):
            self.count += 1
            package = re.sub(r"^(Collecting|Requirement already satisfied:) ", "", line).split(" ")[0]
            progress(f"  package {self.count}: {package}")
        elif line.startswith("Installing collected packages"):
            progress("  all packages are here; unpacking them (about a minute) ...")
