"""What every measured procedure has: its sheet as data, and a judge."""

import json
from functools import cache

from vehicles.calculations.ranges import Range
from vehicles.reference import FIXTURES

_KINDS = {}


class MeasuredProcedure:
    """One procedure. A subclass names its ``key`` in the data and says in `judge` what is not met."""

    key = ""

    def __init_subclass__(cls, **kwargs):
        super().__init_subclass__(**kwargs)
        _KINDS[cls.key] = cls

    def __init__(self, data):
        self.title, self.source = data["title"], data["source"]
        self.cautions, self.instrument = data["cautions"], data["instrument"]
        self.limits = data["limits"]
        self.asked_by = tuple(data["asked_by"])
        # Of what asks for it, the lines that its sheet meets without another paper.
        self.meets = tuple(data["meets"])
        self.fields = [
            (Range(**{name: row[name] for name in ("name", "label", "unit", "low", "high")}), row["required"])
            for row in data["fields"]
        ]

    def limit(self, name):
        return self.limits[name]["value"]

    def label(self, name):
        """A measured value by the name that people know, with its unit."""
        row = next((row for row, _ in self.fields if row.name == name), None)
        return f"{row.label} [{row.unit}]" if row else name.rpartition("_")[0].upper() + " [kg]"

    def facts(self, job):
        """What else the judgement rests on, from the file of the job. Changed facts ask for a new sheet."""
        return {}

    def judge(self, values):
        """Sentences on what is not met; none when all is. ``values`` holds None where nothing was measured."""
        raise NotImplementedError


@cache
def measured(key):
    """The procedure of this key. Raises KeyError for one that nobody wrote."""
    data = json.loads((FIXTURES / "procedures.json").read_text(encoding="utf-8"))["measured"]
    return _KINDS[key](data[key])


def measured_keys():
    return sorted(_KINDS)
