"""The second opinion of the signature tests: a tool that did not write the signature."""

import shutil

WHY = "The tests of signed PDFs ask openssl for a second opinion, and it was not found."


def missing_packages(*, which=shutil.which):
    return [] if which("openssl") else ["openssl"]
