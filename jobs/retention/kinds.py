"""Kinds of files that are kept for years: what the years count from, and what goes when they are over.

Apps above add to the file of a job what they know of it, and files of their own.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

# What no years end, in the words that follow “kept for good”.
for_good = []
_kinds = {}


@dataclass(frozen=True, kw_only=True)
class Since:
    """A day that the years count from; of all days of a file the latest counts.

    ``rows`` takes the key of a file, or the OuterRef of one, so that one list and one file are asked the same.
    """

    what: str
    rows: Callable
    day: str


@dataclass(frozen=True, kw_only=True)
class Part:
    """Something that goes: ``erase(rows, by)`` takes it out of the file, after which ``rows`` are none."""

    what: str
    rows: Callable
    erase: Callable
    # Why it stays although the file is erased, asked with the key of the file.
    stays: Callable = lambda key: ""


@dataclass(frozen=True, kw_only=True)
class Kind:
    """``files()`` gives all that may grow old; ``note(file, by, gone)`` writes down that one was erased."""

    key: str
    files: Callable
    vehicle: Callable
    owner: Callable
    note: Callable
    sinces: list = field(default_factory=list)
    parts: list = field(default_factory=list)


def register(kind):
    _kinds[kind.key] = kind


def register_for_good(what):
    if what not in for_good:
        for_good.append(what)


def all_kinds():
    return list(_kinds.values())


def get(key):
    return _kinds.get(key)


def add_to(key, *, sinces=(), parts=()):
    """Say of a kind of the app below what else its years count from and what else goes."""
    kind = _kinds[key]
    kind.sinces.extend(one for one in sinces if one not in kind.sinces)
    kind.parts.extend(one for one in parts if one not in kind.parts)


def delete(rows, by):
    rows.delete()


def empty_letters(letters, by):
    """That a letter went out stays; to whom and what it said goes."""
    letters.update(to="", body="")
