"""Reading once what a page asks for many times.

A page that is only looked at asks several steps, and each asks the same of the file; so does the signature, with the
file locked. Inside `one_reading` a function marked `read_once` asks the database once for each thing; outside it,
where acts are done, it asks every time.
"""

from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps

_read = ContextVar("read", default=None)


@contextmanager
def one_reading():
    """While a page is put together. Nothing may be written inside that a marked function reads."""
    token = _read.set({})
    try:
        yield
    finally:
        _read.reset(token)


def read_once(function):
    """For a function of one record: within a reading its answer for that record is kept."""

    @wraps(function)
    def asked(record):
        kept = _read.get()
        if kept is None:
            return function(record)
        key = (function, type(record), record.pk)
        if key not in kept:
            kept[key] = function(record)
        return kept[key]

    return asked
