"""The token of the signature tests: a PKCS#11 module and the tool that makes tokens for it."""

import shutil
from pathlib import Path

WHY = "The tests of keys on a token use a software token, SoftHSM 2, and it was not found."
TOOL = "softhsm2-util"
_ROOTS = (Path("/usr/lib"), Path("/usr/lib64"), Path("/usr/local/lib"), Path("/opt/homebrew/lib"))
_PLACES = ("softhsm/libsofthsm2.so", "*/softhsm/libsofthsm2.so", "pkcs11/libsofthsm2.so", "libsofthsm2.so")


def module(roots=_ROOTS):
    """The path of the PKCS#11 module, or None."""
    found = (path for root in roots for place in _PLACES for path in sorted(root.glob(place)))
    return next(found, None)


def missing_packages(*, which=shutil.which, module=module):
    return [] if which(TOOL) and module() else ["softhsm2"]
