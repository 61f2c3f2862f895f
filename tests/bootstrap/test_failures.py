"""The tools' own words, as pip 23 and apt-get 2.6 print them, turned into a reason."""

import pytest

from config.bootstrap.failures import (
    CERTIFICATE,
    DISK_FULL,
    HASH,
    LOCKED,
    NETWORK,
    NO_PACKAGE,
    NO_RIGHT,
    in_words,
)

PIP_OFFLINE = """\
WARNING: Retrying (Retry(total=0, connect=None, read=None, redirect=None, status=None)) after connection
broken by 'NewConnectionError('<HTTPSConnection object>: Failed to establish a new connection: [Errno -3]
Temporary failure in name resolution')': /simple/asgiref/
ERROR: Could not find a version that satisfies the requirement asgiref==3.13.0 (from versions: none)
ERROR: No matching distribution found for asgiref==3.13.0
"""
PIP_HASH = """\
ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE. If you have updated the package
versions, please update the hashes. Otherwise, examine the package contents carefully; someone may have
tampered with them.
"""
PIP_NO_VERSION = "ERROR: No matching distribution found for scipy==1.17.1\n"
PIP_DISK = "ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device\n"
APT_DISK = "E: You don't have enough free space in /var/cache/apt/archives/.\n"
APT_OFFLINE = "Err:1 http://mirror.example bookworm InRelease\n  Temporary failure resolving 'mirror.example'\n"
APT_LOCK = "E: Could not get lock /var/lib/dpkg/lock-frontend. It is held by process 411 (apt-get)\n"
PIP_CERTIFICATE = "SSLError(SSLCertVerificationError(1, '[SSL: CERTIFICATE_VERIFY_FAILED] self signed'))\n"
VENV_DENIED = "Error: [Errno 13] Permission denied: '.venv'\n"


@pytest.mark.parametrize(
    ("output", "reason"),
    [
        (PIP_OFFLINE, NETWORK),
        (APT_OFFLINE, NETWORK),
        (PIP_HASH, HASH),
        (PIP_NO_VERSION, NO_PACKAGE),
        (PIP_DISK, DISK_FULL),
        (APT_DISK, DISK_FULL),
        (APT_LOCK, LOCKED),
        (PIP_CERTIFICATE, CERTIFICATE),
        (VENV_DENIED, NO_RIGHT),
    ],
)
def test_the_reason_is_recognised(output, reason):
    said = in_words(output, doing="Installing")
    assert said.startswith(f"Installing did not work.\n{reason}\n")
    assert output.strip().splitlines()[-1] in said


def test_an_unknown_reason_is_not_guessed():
    said = in_words("Segmentation fault\n", doing="Installing")
    assert "The reason is in the last lines below." in said
    assert "Segmentation fault" in said
