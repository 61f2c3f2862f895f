"""The record of a correcting certificate: the old one, with what was wrong put right and said so."""

import copy
from dataclasses import dataclass

from certificates.models.words import PARTS
from testing.triage.canonical import plain


@dataclass(frozen=True, kw_only=True)
class Correctable:
    """One fact that can be put right without testing or deciding anew."""

    name: str
    title: str
    group: str
    key: str

    def read(self, record):
        # A record from before the fact was kept has no place for it.
        return record[self.group].get(self.key, "")

    def write(self, record, value):
        record[self.group][self.key] = value


@dataclass(frozen=True, kw_only=True)
class CorrectableWords(Correctable):
    """A part of the report in the signatory's own words."""

    def read(self, record):
        return next((part["text"] for part in record.get("words", ()) if part["part"] == self.key), "")

    def write(self, record, value):
        texts = {part["part"]: part["text"] for part in record.get("words", ())} | {self.key: value}
        record["words"] = [
            {"part": part, "title": title, "text": texts[part]} for part, title in PARTS if texts.get(part)
        ]


FIELDS = (
    Correctable(name="owner_name", title="Owner's name", group="owner", key="name"),
    Correctable(name="make", title="Make", group="vehicle", key="make"),
    Correctable(name="model", title="Model", group="vehicle", key="model"),
    Correctable(name="built_year", title="Year built", group="vehicle", key="built_year"),
    Correctable(name="vin", title="VIN", group="vehicle", key="vin"),
    Correctable(name="chassis_number", title="Chassis number", group="vehicle", key="chassis_number"),
    Correctable(name="plate", title="Plate", group="vehicle", key="plate"),
    Correctable(name="plate_state", title="State of the plate", group="vehicle", key="plate_state"),
    *(CorrectableWords(name=part, title=title, group="words", key=part) for part, title in PARTS),
)


def current(record):
    """What stands in each correctable field."""
    return {field.name: field.read(record) for field in FIELDS}


def corrected(old, place, changes, reason):
    """The new record. What was tested and decided is copied as it was sealed."""
    record = copy.deepcopy(old) | place.as_dict()
    lines = []
    for field in FIELDS:
        was = field.read(record)
        if field.name in changes and changes[field.name] != was:
            field.write(record, changes[field.name])
            lines.append({"title": field.title, "was": was, "is": changes[field.name]})
    vehicle = record["vehicle"]
    vehicle["name"] = " ".join(str(part) for part in (vehicle["built_year"], vehicle["make"], vehicle["model"]) if part)
    return plain(record | {"corrections": lines, "correction_reason": reason})
