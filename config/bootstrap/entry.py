"""Decides what a call of manage.py needs before Django can take it, and sees to it."""

import errno
import os
import sys

from . import demo, environment, suite, system
from .failures import DISK_FULL, NO_RIGHT
from .speech import StopError, say

OWN_COMMANDS = {"demo": demo.run, "test": suite.run}
USAGE = """\
python3 manage.py demo    set up what is missing, load a made-up workshop, serve it on this machine
python3 manage.py test    set up what is missing, run every test
python3 manage.py help    all other commands
"""


def enter(argv):
    """Return when Django can take the command in this very process; end the process otherwise."""
    try:
        if len(argv) < 2:
            sys.exit(USAGE)
        own = OWN_COMMANDS.get(argv[1])
        if own:
            sys.exit(own(argv[2:]))
        if not environment.serves_here():
            system.provide(environment)
            python = environment.provide()
            os.execv(python, [python, *argv])  # noqa: S606
    except StopError as stop:
        sys.exit(f"\n{stop}")
    except KeyboardInterrupt:
        say("\nStopped. The same command goes on from here.")
        sys.exit(130)
    except OSError as error:
        sys.exit(f"\n{_in_words(error)}")


def _in_words(error):
    words = {errno.ENOSPC: DISK_FULL, errno.EACCES: NO_RIGHT, errno.EPERM: NO_RIGHT, errno.EROFS: NO_RIGHT}
    return f"{words.get(error.errno, 'The machine refused something that the set-up needs.')}\n    {error}"
