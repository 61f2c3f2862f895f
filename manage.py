#!/usr/bin/env python3
"""The one entry point: `demo`, `test`, and every Django command.

Needs Python 3.11 and nothing else; what is missing is set up on the way (config/bootstrap).
Old Pythons must be able to read this file, if only to be told that they are too old.
"""

import os
import sys

if sys.version_info < (3, 11):  # noqa: UP036  the person may well have started an older one
    sys.exit(
        "The job book needs Python 3.11 or later; this is Python %d.%d.\n"  # noqa: UP031
        "On Debian 12 and on current Ubuntu, run it as: python3 manage.py demo" % sys.version_info[:2]
    )


def main():
    from config.bootstrap.entry import enter

    enter(sys.argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
