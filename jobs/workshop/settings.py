"""Saving what the workshop says of itself: each saving is a new row, papers keep the row they were made with."""

import json

from django.conf import settings
from django.db import transaction

from jobs import lines, loaded, steps
from jobs.models import Job, Workshop
from vehicles.uploads import made_safe

FILE = settings.BASE_DIR / "fixtures" / "workshop.json"
FIELDS = (
    "name", "address", "phone", "email", "abn", "web_address", "terms",
    "home_jurisdiction", "estimate_days", "link_days", "retention_years", "step_days",
)  # fmt: skip


def _file():
    return json.loads(FILE.read_text(encoding="utf-8"))


def first_terms():
    """Our own terms, to start from."""
    return "\n\n".join(_file()["terms"])


def load_demo():
    """The made-up workshop of the demo."""
    return Workshop.objects.create(**_file()["demo"], terms=first_terms())


def initial(now):
    """What the form starts from."""
    values = {name: getattr(now, name) for name in FIELDS}
    values["logo_seen"] = now.logo.name
    return values if now.pk else {**values, "terms": first_terms()}


@transaction.atomic
def save(*, by, seen, logo=None, logo_type="", no_logo=False, **values):
    """Keep the settings as a new row after the one that was ``seen``; raises Meanwhile where another came between.

    The logo stays unless there is a new one or none is wanted.
    """
    loaded.hold_latest(Workshop.objects.all(), seen)
    before = Workshop.current()
    row = Workshop(saved_by=by, **values)
    if logo:
        row.logo, row.logo_type = made_safe(logo, logo_type), logo_type
    elif not no_logo:
        row.logo, row.logo_type = before.logo.name, before.logo_type
    row.save()
    if row.step_days != before.step_days:
        lines.touched_all(Job.objects.exclude(stage=steps.DONE))
    return row
