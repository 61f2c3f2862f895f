"""System packages through apt-get: installed where this account may, named where it may not."""

import os
import shutil
import subprocess

from .failures import in_words
from .speech import StopError, end_progress, progress, say
from .watch import run_watched

ENVIRONMENT = ("env", "DEBIAN_FRONTEND=noninteractive", "LC_ALL=C")
OPTIONS = ("-o", "Acquire::Retries=3", "-o", "DPkg::Lock::Timeout=120")


def right_to_install():
    """Return the words to put before apt-get, or None where this account may not install."""
    if os.geteuid() == 0:
        return ()
    sudo = shutil.which("sudo")
    if sudo and subprocess.run([sudo, "-n", "true"], capture_output=True, check=False).returncode == 0:
        return (sudo, "-n")
    return None


def by_hand(packages, *, why, cause):
    return (
        f"{why}\n{cause}\n"
        "Run this yourself, or ask whoever looks after the machine to run it:\n\n"
        f"    sudo apt-get update && sudo apt-get install -y {' '.join(packages)}\n\n"
        "Then run the same command again."
    )


def install(packages, *, why):
    """Install system packages, or stop and say how a person can."""
    if not shutil.which("apt-get"):
        raise StopError(
            f"{why}\nThis machine has no apt-get. Install what its own package manager has in place of: "
            f"{', '.join(packages)}. Then run the same command again."
        )
    before = right_to_install()
    if before is None:
        cause = "This account may not install packages: it is not root, and sudo is missing or asks for a password."
        raise StopError(by_hand(packages, why=why, cause=cause))
    say(f"{why}\nInstalling with apt-get: {' '.join(packages)}")
    apt_get = [*before, *ENVIRONMENT, "apt-get", *OPTIONS]
    # A failed update alone is no reason to stop: one broken source among many is common.
    _, updated = run_watched([*apt_get, "update"])
    code, installed = run_watched(
        [*apt_get, "install", "-y", "--no-install-recommends", *packages], on_line=_show_unpacking
    )
    end_progress()
    if code:
        raise StopError(in_words(updated + installed, doing=f"Installing {' '.join(packages)} with apt-get"))


def _show_unpacking(line):
    if line.startswith(("Need to get", "Setting up")):
        progress(f"  {line}")
