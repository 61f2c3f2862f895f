"""Finding lines of the register. Pages are cut by place, so that the last one is as quick as the first.

The statement is put together here and not by the ORM, which would take several times as long over it
as the database over the answer. What people typed travels as parameters only.
"""

from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from django.db import connection

from certificates import terms
from certificates.lines import day_of, first_place, place_after
from certificates.models import RegisterKey, RegisterLine

PER_PAGE = 50
_EQUAL = ("jurisdiction", "outcome", "state")
_MEASURED = (("wind", "wind_mps"), ("speed", "speed_kmh"))
_BEGINNINGS = (("number", terms.NUMBER), ("plate", terms.PLATE), ("vin", terms.VIN))
_LINES, _KEYS = RegisterLine._meta.db_table, RegisterKey._meta.db_table


class Line(NamedTuple):
    """One line of the register, as it is listed."""

    place: int
    certificate_id: int | None
    imported_id: int | None
    number: str
    vehicle: str
    plate: str
    vin: str
    owner: str
    engineer: str
    jurisdiction: str
    outcome: str
    wind_mps: float | None
    speed_kmh: float | None
    state: str

    @property
    def issued_on(self) -> date:
        return day_of(self.place)


_SELECT = "SELECT " + ", ".join(f"l.{name}" for name in Line._fields)
_GATHERED = f"SELECT b.line_id FROM {_KEYS} b"  # noqa: S608  a constant
_ALSO = f"SELECT 1 FROM {_KEYS} o WHERE o.line_id = l.place AND o.kind = %s AND o.key = %s"  # noqa: S608  a constant


@dataclass(frozen=True, kw_only=True)
class Page:
    """Some lines, newest first; where the pages beside it begin, or None where there is none."""

    lines: list
    newer_than: int | None
    older_than: int | None


class _Statement:
    """The lines that fit every criterion; criteria that are empty or unknown ask for nothing.

    A whole word (of an engineer, a code) leads: its keys stand in the order of the lines already.
    What is only begun is gathered first and ordered then, each line once.
    """

    def __init__(self, criteria):
        self.conditions, self.values = [], []
        self._lead(criteria)
        for name in _EQUAL:
            if value := criteria.get(name):
                self.add(f"l.{name} = %s", value)
        for name, column in _MEASURED:
            self._measured(column, criteria.get(f"{name}_from"), criteria.get(f"{name}_to"))
        if day := criteria.get("issued_from"):
            self.add(f"{self.place} >= %s", first_place(day))
        if day := criteria.get("issued_to"):
            self.add(f"{self.place} < %s", place_after(day))
        self._begun(criteria)

    def add(self, condition, *values):
        self.conditions.append(condition)
        self.values += values

    def _lead(self, criteria):
        whole = [(terms.ENGINEER, word) for word in self._words(criteria, "engineer")]
        if typed := (criteria.get("modification") or "").strip():
            # What holds no letter and no digit is no code, and finds nothing.
            whole.insert(0, (terms.MODIFICATION, terms.compact(typed)))
        self.source, self.place = f"{_LINES} l", "l.place"
        for number, (kind, key) in enumerate(whole):
            if number == 0:
                self.source, self.place = f"{_KEYS} k JOIN {_LINES} l ON l.place = k.line_id", "k.line_id"
                self.add("k.kind = %s AND k.key = %s", kind, key)
            else:
                self.add(f"EXISTS ({_ALSO})", kind, key)

    def _measured(self, column, low, high):
        if low is not None and low == high:
            self.add(f"l.{column} = %s", low)
            return
        if low is not None:
            self.add(f"l.{column} >= %s", low)
        if high is not None:
            self.add(f"l.{column} <= %s", high)

    def _begun(self, criteria):
        for name, kind in _BEGINNINGS:
            if typed := criteria.get(name):
                self._begins((kind,), terms.compact(typed))
        for word in self._words(criteria, "owner"):
            self._begins((terms.OWNER,), word)
        # Numbers and plates are typed with hyphens; in between, words are told apart by spaces alone.
        for part in (criteria.get("q") or "").split():
            self._typed(part)

    def _words(self, criteria, name):
        """The words of what was typed there. Signs alone are no words, and find nothing."""
        typed = (criteria.get(name) or "").strip()
        if typed and not terms.words(typed):
            self.add("1 = 0")
        return terms.words(typed)

    def _typed(self, part):
        whole, values = _beginning(terms.TYPED, terms.compact(part))
        names = terms.words(part)
        if len(names) < 2:
            self.add(f"l.place IN ({whole})", *values)
            return
        # O'Neil is a name of two words; a plate that is typed with a hyphen is one word.
        apart = [_beginning((terms.OWNER,), word) for word in names]
        every = " AND ".join(f"l.place IN ({statement})" for statement, _ in apart)
        self.add(f"(l.place IN ({whole}) OR ({every}))", *values, *(one for _, some in apart for one in some))

    def _begins(self, kinds, word):
        statement, values = _beginning(kinds, word)
        self.add(f"l.place IN ({statement})", *values)

    def run(self, *, backwards, most):
        where = f" WHERE {' AND '.join(self.conditions)}" if self.conditions else ""
        order = f" ORDER BY {self.place} {'ASC' if backwards else 'DESC'} LIMIT {most:d}"
        with connection.cursor() as cursor:
            cursor.execute(f"{_SELECT} FROM {self.source}{where}{order}", self.values)
            return [Line._make(row) for row in cursor.fetchall()]


def _beginning(kinds, word):
    """The places with a word that begins so, as a statement and its values. No word begins with nothing."""
    if not word:
        return f"{_GATHERED} WHERE 1 = 0", ()
    kind = "b.kind = %s" if len(kinds) == 1 else f"b.kind IN ({', '.join(['%s'] * len(kinds))})"
    # A word holds letters and digits alone, nothing that LIKE would take for a sign of its own.
    if connection.vendor == "postgresql":
        begins, ends = "b.key LIKE %s", (f"{word}%",)
    else:
        begins, ends = "b.key >= %s AND b.key < %s", (word, f"{word}\U0010ffff")
    return f"{_GATHERED} WHERE {kind} AND {begins}", (*kinds, *ends)


def page(criteria, *, older_than=None, newer_than=None, oldest=False, size=PER_PAGE):
    """The page that begins there; without a beginning the newest, or the oldest if asked for."""
    statement = _Statement(criteria)
    backwards = oldest or newer_than is not None
    if older_than is not None:
        statement.add(f"{statement.place} < %s", older_than)
    if newer_than is not None:
        statement.add(f"{statement.place} > %s", newer_than)
    lines = statement.run(backwards=backwards, most=size + 1)
    more, lines = len(lines) > size, lines[:size]
    if backwards:
        lines.reverse()
    if not lines:
        return Page(lines=[], newer_than=None, older_than=None)
    newer = lines[0].place if (more if backwards else older_than is not None) else None
    older = lines[-1].place if (not oldest if backwards else more) else None
    return Page(lines=lines, newer_than=newer, older_than=older)


def all_lines(criteria, *, batch=1000):
    """Every line that fits, newest first, a batch in memory at a time and no lock held in between."""
    older_than = None
    while True:
        some = page(criteria, older_than=older_than, size=batch)
        yield from some.lines
        if some.older_than is None:
            return
        older_than = some.older_than
