"""What the set-up says while it works: on stderr, so that a command's own output stays clean."""

import shutil
import sys


class StopError(Exception):
    """The work cannot go on. The message says why and what to do, in words."""


def say(text=""):
    print(text, file=sys.stderr, flush=True)


def progress(text):
    """One line that overwrites itself on a terminal; a line of its own in a log."""
    if sys.stderr.isatty():
        width = shutil.get_terminal_size().columns - 1
        print(f"\r{text[:width]:<{width}}", end="", file=sys.stderr, flush=True)
    else:
        say(text)


def end_progress():
    if sys.stderr.isatty():
        say()
