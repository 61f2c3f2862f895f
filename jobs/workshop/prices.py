"""Editions of the price book: which one holds on a day, and how a new one is taken in."""

import json
from datetime import date

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format

from jobs import loaded
from jobs.models import PriceBookEdition
from vehicles import reference
from vehicles.calculations.price_book import PriceBook

FILE = settings.BASE_DIR / "fixtures" / "price_book.json"


def load_first(**kwargs):
    """Take in the price book that comes with the project while the workshop has none of its own."""
    if not PriceBookEdition.objects.exists():
        add(data=json.loads(FILE.read_text(encoding="utf-8")), by=None)


@transaction.atomic
def add(*, data, by, seen=None):
    """Keep an edition for good. Raises CaseError when it cannot be used, with every problem.

    ``seen`` is the newest edition when this one was begun; where another was kept since, Meanwhile is raised.
    """
    book = PriceBook.from_data(data)
    if seen:
        loaded.hold_latest(PriceBookEdition.objects.all(), seen.pk)
    return PriceBookEdition.objects.create(
        edition=book.edition, valid_from=book.valid_from, valid_to=book.valid_to, data=data, added_by=by
    )


def in_force(on: date | None = None):
    """The edition for that day: the latest that holds, else the latest that began, else the latest of all."""
    on = on or timezone.localdate()
    editions = PriceBookEdition.objects.order_by("-pk")
    return (
        editions.filter(valid_from__lte=on, valid_to__gte=on).first()
        or editions.filter(valid_from__lte=on).order_by("-valid_to", "-pk").first()
        or editions.first()
    )


def book(on: date | None = None) -> PriceBook:
    """The prices that everything shown of a job is computed from; the project's own before any were taken in."""
    edition = in_force(on)
    return PriceBook.from_data(edition.data) if edition else reference.price_book()


def out_of_date(edition, on: date | None = None):
    """A sentence when the edition does not hold on that day, else empty."""
    on = on or timezone.localdate()
    if edition.valid_from <= on <= edition.valid_to:
        return ""
    return (
        f"No edition of the price book holds today. These prices are from “{edition.edition}”, which holds "
        f"from {date_format(edition.valid_from)} until {date_format(edition.valid_to)}."
    )
