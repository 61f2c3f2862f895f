"""certificates:whole_file, everything on file on one page; and what it and the public page say of a forged record."""

import json

import pytest
from django.core.files.base import ContentFile
from django.db import connection
from django.test import Client
from django.urls import reverse

from certificates import laid_open
from certificates.models import Certificate
from certificates.seal import sha256_of
from certificates.services import issue
from jobs.append_only import open_table
from testing.scheduling.models import Instrument
from testing.testday.models import Check, RunPhoto
from tests.certificates.test_evidence import picture, swap
from tests.certificates_factories import STARTS, ready_job


def whole(certificate):
    return reverse("certificates:whole_file", args=[certificate.number])


@pytest.fixture
def full(engineer, plain_papers):
    job = ready_job(engineer)
    day = job.bookings.get().test_day
    instrument = Instrument.objects.create(kind="gps_speed", name="Speed box", serial="S-77", certificate="LAB-2025")
    job.bookings.get().instruments.add(instrument)
    Check.objects.create(day=day, key="gps_works", note="Green lamp", done_at=STARTS, by=engineer)
    RunPhoto.objects.create(
        run=day.runs.first(), file=ContentFile(picture(), name="run"), content_type="image/jpeg",
        sha256=sha256_of(picture()), sent_as="7b1b5f0e-4a1b-4bb0-a0a5-0d5a3f0b7c11", by=engineer,
    )  # fmt: skip
    return issue(job=job, by=engineer)


def test_everything_on_file_is_on_the_page(full, auditor, as_):
    page = as_(auditor).get(whole(full)).content.decode()
    day = full.record["test_days"][0]
    for shown in (
        *("Speed box", "S-77", "LAB-2025", "Green lamp", "Countersigned", day["driver"]["skill_evidence"]),
        *(full.record["cover"][0]["reference"], full.record["vehicle"]["make"], "Seal, files and evidence"),
        *(reverse(f"certificates:{kind}_pdf", args=[full.number]) for kind in ("certificate", "report")),
        reverse("testing:run_photo", args=[full.job.bookings.get().test_day.pk, RunPhoto.objects.get().pk]),
        "data:image/svg+xml;base64,",
    ):
        assert str(shown) in page, shown


def said(parts):
    for part in parts:
        yield part.title, part.text
        yield from said(part.parts)


def test_a_part_that_nobody_wrote_a_page_for_is_shown_all_the_same():
    record = {
        "owner": {"name": "Olive"},
        "met_by": [{"title": "Brakes", "limit_mps2": 6.4, "held": True, "samples": list(range(30)), "note": ""}],
        "built_year": 2020,
        "rows": [[1, 2], [3]],
        "taken_at": "2026-03-04T20:30:00+00:00",
        "held_on": "2026-03-05",
        "remark": "2026-13-45",
    }
    shown = dict(said(laid_open.parts_of(record)))
    assert shown["Limit"] == "6.4\N{NO-BREAK SPACE}m/s²"
    assert (shown["Held"], shown["Note"], shown["Built year"]) == ("yes", "not recorded", "2020")
    assert (shown["Taken at"], shown["Held on"]) == ("5 Mar 2026, 07:30 AEDT", "5 March 2026")
    assert shown["Remark"] == "2026-13-45"
    assert shown["Samples"].startswith("30 values")
    assert "Olive" not in shown.values()
    assert [text for _, text in said(laid_open.parts_of("no record"))] == ["no record"]


def test_evidence_that_was_swapped_is_said_on_top(full, auditor, as_):
    swap(RunPhoto.objects.get(), picture("#000000"))
    page = as_(auditor).get(whole(full)).content.decode()
    assert "Seal broken" in page
    assert "the store does not hold the file that was sealed" in page
    assert "Valid." not in page


FORGED = [
    lambda record: {**record, "vehicle": {**record["vehicle"], "name": "FORGED CAR"}},
    lambda record: {"vehicle": "FORGED CAR"},
    lambda record: ["FORGED CAR"],
    lambda record: {**record, "test_days": "FORGED CAR", "triage": 7, "outcome": None},
]


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("forge", FORGED)
def test_a_forged_record_is_valid_nowhere(plain, auditor, as_, forge):
    with connection.schema_editor() as editor:
        open_table(editor, Certificate._meta.db_table)
    with connection.cursor() as cursor:
        changed = json.dumps(forge(plain.record))
        cursor.execute("UPDATE certificates_certificate SET record = %s WHERE id = %s", [changed, plain.pk])
    inner = as_(auditor).get(whole(plain)).content.decode()
    assert "Seal broken" in inner and "Valid." not in inner and "Record, as sealed" not in inner
    answer = Client().get(reverse("certificates:check", args=[plain.check_code]))
    public = answer.content.decode()
    assert answer.status_code == 200
    assert "Ask the workshop" in public and "does not match its seal" in public
    assert "Valid" not in public and "FORGED CAR" not in public and "<form" not in public.partition("<main")[2]
