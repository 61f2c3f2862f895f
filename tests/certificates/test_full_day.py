"""A test day with everything its sheet can hold: all of it is in the record, the report, the pack and the gaps."""

import json
import uuid
import zipfile
from datetime import date
from io import BytesIO

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from pypdf import PdfReader

from certificates import pack, papers, pdf
from certificates.gaps import missing
from certificates.seal import sha256_of
from certificates.services import issue
from testing.models import CrewMember
from testing.scheduling.models import Instrument
from testing.testday import measuring
from testing.testday.models import CheckException, Loading, LogFile, LoggedPass, Release, RunPhoto, Stop
from tests.certificates_factories import STARTS, at_stage, ready_job

X_M = [float(x) for x in range(0, 126, 5)]
TRACE = {
    "x_m": X_M,
    "y_m": [1.2 + 0.02 * x for x in X_M],
    "speed_kmh": [80.0 - 0.1 * x for x in X_M],
    "lateral_g": [0.3 if 15 < x < 70 else -0.1 for x in X_M],
}
FOUND = {
    "entry_kmh": 80.04,
    "exit_kmh": 67.5,
    "peak_lateral_g": 0.312,
    "peak_tilt_deg": None,
    "nearest": {"cone": 7, "margin_m": 0.214},
    "trace": TRACE,
}


def picture():
    from PIL import Image

    out = BytesIO()
    Image.new("RGB", (320, 240), "#446688").save(out, "PNG")
    return out.getvalue()


@pytest.fixture
def job(engineer):
    job = ready_job(engineer)
    booking = job.bookings.get()
    booking.observers.add(CrewMember.objects.create(name="Ines Observer", drives=False))
    booking.instruments.add(
        Instrument.objects.create(
            kind="anemometer",
            name="Windmate",
            serial="W-77",
            certificate="K-12",
            valid_to=date(2027, 3, 4),
        )
    )
    day, run = booking.test_day, booking.test_day.runs.get(number=3)
    Loading.objects.create(
        day=day, mass="tm1", places={"luggage": 10.0, "instruments": 12.5}, front_kg=1180.0, rear_kg=1099.5,
        total_kg=2279.5, target_kg=2281.54, basis="weighed", met=True,
        restrained=True, sent_as=uuid.uuid4(), loaded_at=STARTS, by=engineer,
    )  # fmt: skip
    CheckException.objects.create(day=day, key="tilt_meter", reason="Roll was filmed instead.", by=engineer)
    stop = Stop.objects.create(day=day, reason="A kangaroo on the strip.", sent_as=uuid.uuid4(), by=engineer)
    for mass in ("tm1", "tm2"):
        Release.objects.create(
            day=day,
            mass=mass,
            after_run=10,
            known_runs=list(range(1, 11)),
            known_stops=[stop.pk],
            reason="The strip is clear again.",
            by=engineer,
        )
    log = LogFile.objects.create(
        day=day, instrument="Logger 7", original_name="runs.csv", kind="csv", sha256=sha256_of(b"log"),
        file=ContentFile(b"log", name="log"), by=engineer,
    )  # fmt: skip
    LoggedPass.objects.create(log=log, number=1, run=run, found=FOUND, by=engineer)
    RunPhoto.objects.create(
        run=run, file=ContentFile(picture(), name="p"), content_type="image/png", sha256=sha256_of(picture()),
        sent_as=uuid.uuid4(), by=engineer,
    )  # fmt: skip
    readings = {"first_dba": 91.0, "second_dba": 90.2, "third_dba": 90.6, "background_dba": 52.0, "engine_rpm": 4000}
    measuring.record_measurement(
        job=at_stage(job, "testday"), by=engineer, procedure="noise", measured_on=STARTS.date(),
        values={**readings, "signature_dba": 87.0}, instrument="Sound meter S-1", calibrated_until=STARTS.date(),
    )  # fmt: skip
    return at_stage(job, "certification")


def test_all_of_it_is_told_in_the_report(job, engineer):
    certificate = issue(job=job, by=engineer)
    report = PdfReader(BytesIO(papers.read(certificate, papers.REPORT)))
    text = " ".join(" ".join(page.extract_text() for page in report.pages).split())
    for told in (
        *(
            "Ines Observer",
            "Anemometer: Windmate (booked after the day was opened",
            "W-77 K-12 not recorded 4 March 2027",
        ),
        *(
            "Test Mass 1 weighed 2,279.5 kg 2,282 kg within tolerance; restrained.",
            "Weighed: front axle 1,180 kg, rear axle 1,099.5 kg. Aboard: instruments 12.5 kg, luggage area 10 kg.",
            "Roll was filmed instead.",
            "A kangaroo on the strip.",
        ),
        *("runs.csv, pass 1", "80.0 km/h", "0.31 g", "7: 0.21 m", "Speed along the course, by the log"),
        *("Photo 2: Run 3, 80 km/h", "Stationary noise test (LT4), 4 March 2026: met", "Sound meter S-1"),
        *("First reading 91 dB(A)", "Above the signature level, at most 5 dB Allowance above the signature level"),
        *("Rolls at about", "estimate, not measured"),
        *("Least lateral acceleration that the course asks for: 80 km/h 0.26 g", "What the crew was told"),
    ):
        assert told in text, told
    assert len(report.pages[0].images) == 2
    assert "On the wheels" not in text
    short = PdfReader(BytesIO(papers.read(certificate, papers.CERTIFICATE)))
    text = " ".join(" ".join(page.extract_text() for page in short.pages).split())
    assert "2,282 kg; loaded to 2,279.5 kg, weighed" in text
    assert "Stationary noise test (LT4), 4 March 2026: met." in text


def test_what_a_measured_sheet_did_not_meet_is_printed_with_it(job, engineer):
    record = json.loads(json.dumps(issue(job=job, by=engineer).record))
    record["measurements"][0] |= {"met": False, "findings": ["94 dB(A), at most 92 dB(A) allowed"]}
    html, _ = pdf.laid_out("certificates/pdf/report.html", record, seal="a" * 64, photos={})
    assert "94 dB(A), at most 92 dB(A) allowed." in html


def test_the_plots_come_from_the_sealed_record_alone(job, engineer):
    certificate = issue(job=job, by=engineer)
    record = json.loads(json.dumps(certificate.record))
    _, pictures = pdf.laid_out("certificates/pdf/report.html", record, seal="a" * 64, photos={})
    for name in ("climb:1", "speed:1", "lateral:1", "path:1"):
        assert b"<svg" in pictures[name][1], name
    points = pictures["speed:1"][1].decode().split('points="')[1].split('"')[0].split()
    assert len(points) == len(X_M)


def test_what_a_drop_out_of_a_log_hides_is_a_dash_in_the_report(job, engineer):
    record = json.loads(json.dumps(issue(job=job, by=engineer).record))
    (day,) = (day for day in record["test_days"] if day["logs"])
    found = day["logs"][0]["passes"][0]["found"]
    hidden = {name: [None if 40 < x < 75 else y for x, y in zip(X_M, TRACE[name], strict=True)] for name in TRACE}
    found |= {
        "entry_error_kmh": 0.34, "exit_kmh": None, "peak_lateral_g": None, "unseen": [7, 8],
        "cautions": ["no samples from 3.99 to 4.51 s"], "trace": {**hidden, "x_m": X_M},
    }  # fmt: skip
    html, pictures = pdf.laid_out("certificates/pdf/report.html", record, seal="a" * 64, photos={})
    (row,) = (line for line in html.split("<tr>") if "runs.csv, pass 1" in line)
    assert "80.0 ± 0.3 km/h" in row and row.count(">–<") == 3 and "7: 0.21 m, 2 unseen" in row
    assert "no samples from 3.99 to 4.51 s (run 3)" in html
    assert pictures["path:1"][1].count(b'<polyline class="line"') == 2


def test_what_was_seen_of_a_run_stands_beside_it(job, engineer):
    record = json.loads(json.dumps(issue(job=job, by=engineer).record))
    seen = {"cones": [7, 9], "gust_mps": 2.9, "roll_deg": 8.5, "wheel_lift": True, "driver_stops": True}
    record["test_days"][0]["runs"][0] |= seen
    html, _ = pdf.laid_out("certificates/pdf/report.html", record, seal="a" * 64, photos={})
    told = "cones 7, 9 struck; gust 2.9 m/s; roll 8.5°; a wheel lifted; the driver did not want to go on"
    assert html.replace("\N{NO-BREAK SPACE}", " ").count(told) == 1


@pytest.mark.parametrize("what", ["photo", "log"])
def test_a_photo_or_a_log_that_was_changed_stops_the_signature(job, engineer, what):
    stored = (RunPhoto if what == "photo" else LogFile).objects.get().file.name
    default_storage.delete(stored)
    default_storage.save(stored, ContentFile(b"other"))
    (only,) = [blocker.text for blocker in missing(job, by=engineer)]
    assert only.endswith("the file is not the one that was taken in.")


def test_the_pack_holds_logs_and_photos_of_runs(job, engineer):
    certificate = issue(job=job, by=engineer)
    with pack.written([certificate], made_for="test", made_at="now") as file:
        names = zipfile.ZipFile(file).namelist()
    assert any("/logs/" in name and name.endswith(".csv") for name in names)
    assert any("/evidence/run-3-" in name and name.endswith(".png") for name in names)
