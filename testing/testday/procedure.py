"""What is looked at before driving, and when to stop: data, so that a workshop can add to it."""

import json
from dataclasses import dataclass, field
from functools import cache

from vehicles.reference import FIXTURES

FIRST_RUN, FIRST_MASS, SECOND_MASS = "first_run", "tm1", "tm2"


@dataclass(frozen=True, kw_only=True)
class CheckItem:
    """One thing that a person confirms. ``before`` says which runs wait for it.

    ``asks`` names what is worth writing down with it; ``exception`` says when the rules let the
    engineer pass it, and is empty where they never do. ``instrument`` is the kind that it is about.
    """

    key: str
    before: str
    group: str
    text: str
    help: str = ""
    asks: str = ""
    exception: str = ""
    instrument: str = ""


@dataclass(frozen=True, kw_only=True)
class Aspect:
    """Something of the handling that a driver rates."""

    key: str
    text: str


@dataclass(frozen=True, kw_only=True)
class SetLimit:
    """A number that decides, with where it comes from."""

    value: float
    unit: str
    source: str
    tag: str


@dataclass(frozen=True, kw_only=True)
class Procedure:
    title: str
    source: str
    stop_conditions: tuple[str, ...]
    checks: tuple[CheckItem, ...]
    aspects: tuple[Aspect, ...] = ()
    limits: dict[str, SetLimit] = field(default_factory=dict)

    def keys(self, *, mass):
        """Keys of all checks that runs at this mass wait for."""
        wanted = {FIRST_RUN, mass}
        return [item.key for item in self.checks if item.before in wanted]

    def item(self, key):
        return next((item for item in self.checks if item.key == key), None)

    def limit(self, name):
        return self.limits[name].value


@cache
def procedure(name):
    """A procedure of the file of procedures. Raises KeyError for one that is not in it."""
    data = json.loads((FIXTURES / "procedures.json").read_text(encoding="utf-8"))[name]
    return Procedure(
        title=data["title"],
        source=data["source"],
        stop_conditions=tuple(data["stop_conditions"]),
        checks=tuple(CheckItem(**item) for item in data["checks"]),
        aspects=tuple(Aspect(**item) for item in data["aspects"]),
        limits={name: SetLimit(**limit) for name, limit in data["limits"].items()},
    )


def lane_change():
    """The procedure of the lane-change test."""
    return procedure("lane_change")
