"""Reading a record aloud: codes become the words of the sheet they come from."""

from django.utils import timezone
from django.utils.html import escape

from certificates import pdf
from certificates.assembly import Place, record_of
from certificates.templatetags.record import rating_rows
from testing.testday.procedure import procedure
from tests.certificates_factories import heavy_job


def test_ratings_are_told_in_the_words_and_the_order_of_the_sheet():
    said = {"tm1": {"braking": 7, "steering": 8}, "tm2": {"braking": 4, "steering": 9, "remark": "Dives"}}
    assert rating_rows(said) == [
        {"aspect": "Steering: response and feel", "values": ["8, good", "9, excellent"]},
        {"aspect": "Braking in a straight line after the run", "values": ["7, good", "4, poor"]},
        {"aspect": "Remark", "values": [None, "Dives"]},
    ]


def test_a_driving_report_has_aspects_of_its_own():
    assert rating_rows({"steering": 6, "wading_depth": 5}) == [
        {"aspect": "Steering: response, feel, return to centre", "values": ["6, fair"]},
        {"aspect": "wading depth", "values": ["5, borderline"]},
    ]


def test_the_report_of_a_drive_says_what_was_looked_at_and_how_it_was_laden(db, engineer):
    job = heavy_job(engineer)
    sheet = procedure("driving_report")
    drive = {"checks": [item.key for item in sheet.checks], "masses": {"front_kg": 1640.0, "rear_kg": 2210.5}}
    at = timezone.now()
    record = record_of(job, Place(by=engineer, authority_number="SIG-0042", issued_at=at, issued_on=at.date()))
    record["driving_report"] |= drive
    html, _ = pdf.laid_out("certificates/pdf/report.html", record, photos={})
    assert all(escape(item.text) in html for item in sheet.checks)
    assert "front axle 1,640 kg, rear axle 2,210.5 kg" in html.replace("\N{NO-BREAK SPACE}", " ")
