"""The wording of each message: ours from fixtures/messages.json until the workshop writes its own."""

import json
import re
from dataclasses import dataclass
from functools import cache

from django.conf import settings
from django.db import transaction

from jobs import loaded
from jobs.models import MessageText

FILE = settings.BASE_DIR / "fixtures" / "messages.json"
# Facts that every message may name, with samples for the preview.
COMMON = {
    "owner": "Olive Saltbush",
    "vehicle": "2019 Banksia Tourer",
    "plate": "SLT42B",
    "job": "J2026-0001",
    "page": "https://job-book.example/owner/…/",
    "workshop": "The workshop",
    "phone": "02 5550 0100",
}
_PLACE = re.compile(r"\{([^{}]*)\}")


class UnknownEvent(KeyError):
    """Nothing is worded for that event."""


@dataclass(frozen=True, kw_only=True)
class Event:
    """Something that a message tells of, and the wording that comes with the project."""

    key: str
    title: str
    to: str
    essential: bool
    when: str
    subject: str
    body: str
    facts: dict

    @property
    def known(self):
        """Every place that a wording may name, with a sample."""
        return {**COMMON, **self.facts}


@cache
def events():
    return {row["key"]: Event(**row) for row in json.loads(FILE.read_text(encoding="utf-8"))}


def event(key):
    try:
        return events()[key]
    except KeyError:
        raise UnknownEvent(key) from None


def own(key):
    """The workshop's own wording that counts now, or None."""
    return MessageText.objects.filter(event=key).first()


def text_of(key):
    """(subject, body) that counts now."""
    counts = own(key) or event(key)
    return counts.subject, counts.body


def fill(text, facts):
    """Put the facts into their places. Only names are looked up: a wording can run nothing."""
    return _PLACE.sub(lambda place: str(facts.get(place[1], place[0])), text)


def strange_places(text, allowed):
    """Places in a wording that no fact would fill."""
    return sorted({place for place in _PLACE.findall(text) if place not in allowed})


@transaction.atomic
def save(*, key, subject, body, by, seen):
    """Keep the workshop's own wording after the one that was ``seen``; raises Meanwhile where another came between."""
    loaded.hold_latest(MessageText.objects.filter(event=key), seen and seen.pk)
    return MessageText.objects.create(event=event(key).key, subject=subject, body=body, by=by)
