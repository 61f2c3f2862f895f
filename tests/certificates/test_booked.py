"""What a day was driven with is what was booked when it was opened, whatever the registers say later."""

from datetime import date
from io import BytesIO

import pytest
from django.db import connection
from pypdf import PdfReader

from certificates import papers
from certificates.record_of_booked import booked_of
from certificates.services import issue
from jobs.append_only import open_table
from testing.models import CrewMember, Instrument, TestDay
from tests.certificates_factories import at_stage, day_of_testing, sign_triage, state
from tests.factories import JobFactory


@pytest.fixture
def gps(db):
    return Instrument.objects.create(
        kind="gps_speed", name="Track box", serial="S1", certificate="LAB-2025", calibrated_on=date(2025, 4, 1),
        valid_to=date(2026, 4, 1),
    )  # fmt: skip


@pytest.fixture
def anemometer(db):
    return Instrument.objects.create(
        kind="anemometer", name="Mast", serial="W1", certificate="LAB-7", valid_to=date(2026, 9, 1)
    )


@pytest.fixture
def day(engineer, gps, anemometer):
    job = JobFactory()
    sign_triage(job, engineer)
    return day_of_testing(job, engineer, instruments=[gps, anemometer])


def test_the_calibration_that_held_then_is_in_record_and_report(engineer, gps, day):
    gps.certificate, gps.calibrated_on, gps.valid_to = "LAB-2026", date(2026, 5, 1), date(2027, 5, 1)
    gps.save()
    driver, site = day.booking.driver, day.booking.site
    name = driver.name
    driver.skill_evidence, driver.mass_kg, driver.name = "A course taken later", 95.0, "Another Name"
    driver.save()
    site.surface, site.name = "gravel by now", "Renamed"
    site.save()
    job = day.booking.job
    state(job, engineer)
    certificate = issue(job=at_stage(job, "certification"), by=engineer)
    (told,) = certificate.record["test_days"]
    assert told["instruments"][1] == {
        "name": "Track box", "kind": "GPS speed", "serial": "S1", "calibration": "LAB-2025",
        "calibrated_on": "2025-04-01", "calibrated_until": "2026-04-01",
    }  # fmt: skip
    assert (told["driver"]["name"], told["driver"]["mass_kg"]) == (name, 80.0)
    assert told["driver"]["skill_evidence"] == "Twelve years of road testing"
    assert told["site"].startswith("Saltbush airstrip") and told["surface"] == "sealed, level"
    report = PdfReader(BytesIO(papers.read(certificate, papers.REPORT)))
    text = " ".join(" ".join(page.extract_text() for page in report.pages).split())
    assert "GPS speed: Track box S1 LAB-2025 1 April 2025 1 April 2026" in text


def test_what_is_booked_after_the_opening_says_so(day):
    day.booking.observers.add(CrewMember.objects.create(name="Ines Observer"))
    day.booking.instruments.clear()
    told = booked_of(day)
    assert told["crew"] == [{"name": "Ines Observer", "booked_after_opening": True}]
    assert [item["calibration"] for item in told["instruments"]] == ["LAB-7", "LAB-2025"]


@pytest.mark.django_db(transaction=True)
def test_a_day_from_before_the_copying_is_told_as_the_registers_stand(engineer, gps, anemometer):
    job = JobFactory()
    sign_triage(job, engineer)
    day = day_of_testing(job, engineer, instruments=[gps, anemometer])
    with connection.schema_editor() as editor:
        open_table(editor, TestDay._meta.db_table)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE testing_testday SET booked = '{}'")
    told = booked_of(TestDay.objects.get(pk=day.pk))
    assert told["instruments"][1]["calibration"] == "LAB-2025" and "booked_after_opening" not in told["driver"]
