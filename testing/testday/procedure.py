"""What is looked at before driving, and when to stop: data, so that a workshop can add to it."""

import json
from dataclasses import dataclass
from functools import cache

from vehicles.reference import FIXTURES

FIRST_RUN, SECOND_MASS = "first_run", "tm2"


@dataclass(frozen=True, kw_only=True)
class CheckItem:
    """One thing that a person confirms. ``before`` says which runs wait for it."""

    key: str
    before: str
    group: str
    text: str
    help: str = ""


@dataclass(frozen=True, kw_only=True)
class Procedure:
    title: str
    source: str
    stop_conditions: tuple[str, ...]
    checks: tuple[CheckItem, ...]

    def keys(self, *, mass):
        """Keys of all checks that runs at this mass wait for."""
        wanted = {FIRST_RUN, mass}
        return [item.key for item in self.checks if item.before in wanted]


@cache
def lane_change():
    """The procedure of the lane-change test."""
    data = json.loads((FIXTURES / "procedures.json").read_text(encoding="utf-8"))["lane_change"]
    return Procedure(
        title=data["title"],
        source=data["source"],
        stop_conditions=tuple(data["stop_conditions"]),
        checks=tuple(CheckItem(**item) for item in data["checks"]),
    )
