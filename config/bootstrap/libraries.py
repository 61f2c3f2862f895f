"""The system libraries and fonts that the PDFs are made with."""

import ctypes
import sys
from pathlib import Path

from .speech import say

WHY = "Reports and certificates (PDF) need system libraries that are missing."

# What WeasyPrint opens at run time → the Debian and Ubuntu package that brings it.
LIBRARIES = {
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
}
FONT_FOLDERS = (Path("/usr/share/fonts"), Path("/usr/local/share/fonts"))
FONT_FILE = "DejaVuSans.ttf"
FONT_PACKAGE = "fonts-dejavu-core"


def loads(library):
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def has_font(folders=FONT_FOLDERS):
    return any(True for folder in folders for _ in folder.rglob(FONT_FILE))


def missing_packages(*, loads=loads, has_font=has_font, platform=sys.platform):
    if platform != "linux":
        say("Not Linux: please see to it that Pango is installed; reports and certificates are made with it.")
        return []
    packages = [package for library, package in LIBRARIES.items() if not loads(library)]
    if not has_font():
        packages.append(FONT_PACKAGE)
    return packages
