"""Certificates from before this system: looked at first, brought in line by line, resumed after a crash."""

import csv
import io
import uuid

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from certificates import importing
from certificates.check import verify_chain
from certificates.models import Event, ImportedCertificate
from certificates.services import issue
from tests.certificates_factories import untested_job

ROW = {
    "number": "LT/2011/17",
    "issued_on": "2011-02-03",
    "vehicle": "1999 Grevillea Roadster",
    "plate": "old-17",
    "vin": "6t1grev00a0000017",
    "owner": "Olive Adams",
    "engineer": "Emil Alder, SIG-0007",
    "jurisdiction": "NSW",
    "outcome": "lane_change_test_passed",
    "modifications": "suspension_lift; LT2",
    "wind_mps": "1.5",
    "speed_kmh": "110",
    "pdf": "17.pdf",
}


@pytest.fixture
def write(tmp_path):
    (tmp_path / "17.pdf").write_bytes(b"%PDF-1.4 seventeen")

    def write_(*rows, delimiter=",", encoding="utf-8", name="old.csv"):
        out = io.StringIO()
        writer = csv.DictWriter(out, list(ROW), delimiter=delimiter)
        writer.writeheader()
        writer.writerows(rows)
        path = tmp_path / name
        path.write_bytes(out.getvalue().encode(encoding))
        return path

    return write_


def run(path, **options):
    return list(importing.run(file=path, pdfs=path.parent, **options))


def results(path, **options):
    return [outcome.result for outcome in run(path, **options)]


def test_a_dry_run_says_what_would_happen_and_writes_nothing(db, write):
    assert results(write(ROW, {**ROW, "number": "X", "issued_on": "soon"}), dry_run=True) == ["ready", "refused"]
    assert not ImportedCertificate.objects.exists()
    assert not Event.objects.exists()


@pytest.mark.parametrize("delimiter", [",", ";"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
def test_it_is_found_shown_and_marked_as_not_sealed_at_the_time(write, auditor, as_, delimiter, encoding):
    assert results(write(ROW, delimiter=delimiter, encoding=encoding), by=auditor) == ["imported"]
    imported = ImportedCertificate.objects.get()
    assert imported.record["vin"] == "6T1GREV00A0000017"
    client = as_(auditor)
    by_engineer, by_code = {"engineer": "alder"}, {"modification": "lt2"}
    for query in ({"q": "LT/2011/17"}, {"vin": "GREV00"}, by_engineer, by_code, {"to": "2011-12-31"}):
        page = client.get(reverse("certificates:register"), query).content.decode()
        assert imported.number in page, query
        assert "imported" in page
    page = client.get(imported.get_absolute_url()).content.decode()
    assert "not sealed when it was issued" in page
    paper = client.get(reverse("certificates:imported_pdf", args=[imported.pk]))
    assert paper.content == b"%PDF-1.4 seventeen"
    assert list(verify_chain()) == []


WRONG = [
    ({"number": ""}, "number is empty"),
    ({"number": "N" * 61}, "number has 61 characters; allowed are 60"),
    ({"issued_on": ""}, "issued_on is empty"),
    ({"issued_on": "3/2/2011"}, "issued_on “3/2/2011” is no date; allowed is a day such as 2019-03-04"),
    ({"issued_on": "2999-01-01"}, "issued_on 2999-01-01 is out of range"),
    ({"issued_on": "1969-12-31"}, "allowed is 1970-01-01 to today"),
    ({"owner": " "}, "owner is empty"),
    ({"plate": "", "vin": ""}, "plate and vin are both empty"),
    ({"vin": "6T1GREV00A00000170"}, "vin has 18 characters; allowed are 17"),
    ({"vin": "6T1?"}, "vin “6T1?” has other signs than letters and digits"),
    ({"jurisdiction": "NZ"}, "jurisdiction “NZ” is not known; allowed are "),
    ({"outcome": "fine"}, "outcome “fine” is not known"),
    ({"wind_mps": "calm"}, "wind_mps “calm” is no number"),
    ({"wind_mps": "nan"}, "wind_mps nan is out of range"),
    ({"speed_kmh": "1e400"}, "speed_kmh 1e400 is out of range"),
    ({"wind_mps": "1_0"}, "wind_mps “1_0” is no number"),
    ({"speed_kmh": "１１０"}, "speed_kmh “１１０” is no number"),
    ({"number": "---"}, "number “---” has no letter and no digit"),
    ({"modifications": "lift\x00kit"}, "modifications holds a sign that cannot be seen, U+0000"),
    ({"pdf": "a\x00.pdf"}, "pdf holds a sign that cannot be seen, U+0000"),
    ({"owner": "\u202eevil"}, "owner holds a sign that cannot be seen, U+202E"),
    ({"owner": "Two\nlines"}, "owner holds a sign that cannot be seen, U+000A"),
    ({"pdf": "none.pdf"}, "pdf “none.pdf” cannot be read"),
    ({"pdf": "../../etc/hostname"}, "lies outside the folder"),
    ({"pdf": "old.csv"}, "pdf “old.csv” is no PDF"),
]


@pytest.mark.parametrize(("change", "why"), WRONG, ids=lambda value: str(value)[:40])
def test_what_is_wrong_is_said_with_field_value_and_what_is_allowed(db, write, change, why):
    (outcome,) = run(write({**ROW, **change}))
    assert outcome.result == "refused"
    assert why in outcome.why
    assert not ImportedCertificate.objects.exists()


def test_everything_wrong_with_a_line_is_said_at_once(db, write):
    (outcome,) = run(write({**ROW, "owner": "", "wind_mps": "calm", "jurisdiction": "NZ"}))
    assert len(outcome.why.split("; ")) >= 3


def test_a_number_twice_in_the_file_or_given_by_this_register_is_refused(write, plain):
    twice = run(write(ROW, ROW))
    assert [outcome.result for outcome in twice] == ["imported", "refused"]
    assert "stands in line 2 already" in twice[1].why
    (own,) = run(write({**ROW, "number": plain.number}, name="own.csv"))
    assert "one that this register gave itself" in own.why


def test_a_changed_line_of_a_known_number_overwrites_nothing(db, write):
    run(write(ROW))
    (outcome,) = run(write({**ROW, "owner": "Somebody Else"}))
    assert "was imported with another owner; nothing is overwritten" in outcome.why
    assert ImportedCertificate.objects.get().record["owner"] == "Olive Adams"


def test_after_a_crash_the_same_command_goes_on(db, write, monkeypatch):
    rows = [{**ROW, "number": f"LT/{n}"} for n in range(5)]
    path = write(*rows)
    enter = importing.lines.add

    def crash(subject):
        if subject.number == "LT/3":
            raise RuntimeError("power cut")
        return enter(subject)

    with monkeypatch.context() as patched, pytest.raises(RuntimeError):
        patched.setattr(importing.lines, "add", crash)
        run(path)
    assert ImportedCertificate.objects.count() == 3
    assert list(verify_chain()) == []
    assert results(path) == ["in already"] * 3 + ["imported"] * 2
    assert results(path) == ["in already"] * 5
    assert list(verify_chain()) == []


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"number,owner\n1,2\n", "lacks issued_on"),
        (b"number,issued_on,owner,plate,plate\n", "names plate more than once"),
        (b"number,issued_on,owner,colour\n", "unknown columns: colour"),
        (b"\xff\xfe\x00\x01", "not UTF-8"),
        (b"", "lacks number"),
    ],
    ids=["too few", "double", "unknown", "not text", "empty"],
)
def test_a_file_that_is_no_table_is_refused_whole(db, tmp_path, content, why):
    path = tmp_path / "old.csv"
    path.write_bytes(content)
    with pytest.raises(CommandError, match=why):
        call_command("import_certificates", path, stdout=io.StringIO())


def test_the_command_counts_reports_and_fails_where_something_was_refused(db, write, tmp_path):
    path, report, out = write(ROW, {**ROW, "number": "X", "owner": ""}), tmp_path / "report.csv", io.StringIO()
    with pytest.raises(CommandError, match="Some lines were refused"):
        call_command("import_certificates", path, pdfs=tmp_path, report=report, stdout=out)
    assert "line 3, X: owner is empty; it is needed" in out.getvalue()
    assert "1 imported, 1 refused" in out.getvalue()
    lines = list(csv.DictReader(io.StringIO(report.read_text())))
    assert [line["result"] for line in lines] == ["imported", "refused"]


def test_an_imported_certificate_can_be_withdrawn_and_handed_on(write, engineer, as_):
    run(write(ROW))
    imported = ImportedCertificate.objects.get()
    client = as_(engineer)
    for name, data in (
        ("transfer_imported", {"new_owner": "Nora", "on": "2020-01-02", "evidence": "Papers", "sent_as": uuid.uuid4()}),
        ("withdraw_imported", {"reason": "Forged at the time", "understood": "on"}),
    ):
        assert client.post(reverse(f"certificates:{name}", args=[imported.pk]), data).url == imported.get_absolute_url()
    page = client.get(imported.get_absolute_url()).content.decode()
    assert "Withdrawn." in page
    imported.line.refresh_from_db()
    assert imported.line.state == "withdrawn"
    assert list(verify_chain()) == []


def test_a_row_with_more_fields_than_the_heading_is_refused_whole(db, tmp_path):
    path = tmp_path / "old.csv"
    path.write_text("number,issued_on,vehicle,plate,owner\nX1,2011-02-03,2010 Ute,OLD1,Smith, John\n")
    (outcome,) = run(path)
    assert "it has more fields than the heading, from “ John” on" in outcome.why
    assert not ImportedCertificate.objects.exists()


@pytest.mark.parametrize("number", ["lt 2011/17", "LT-2011-17", "LT/2011/17"])
def test_a_number_stands_once_however_it_is_spelled(db, write, number):
    run(write(ROW))
    (outcome,) = run(write({**ROW, "number": number, "owner": "Somebody Else"}))
    assert outcome.result == "refused"
    assert ImportedCertificate.objects.count() == 1
    twice = run(write({**ROW, "number": "A-1"}, {**ROW, "number": "a/1"}, name="twice.csv"))
    assert [one.result for one in twice] == ["imported", "refused"]


@pytest.mark.parametrize(
    "spelled", ["{}-{}-0001", "{}-{}-0002", "{}/{}/2", "{} {} 77", "sig0042{1}0003", "{}-2099-0001"]
)
def test_a_number_that_this_register_gives_itself_is_refused(write, plain, spelled):
    number = spelled.format("SIG-0042", plain.issued_on.year)
    (outcome,) = run(write({**ROW, "number": number}))
    assert outcome.result == "refused", number
    assert "this register gave itself" in outcome.why or "this register gives itself" in outcome.why


def test_a_number_of_the_years_before_is_no_number_of_this_register(write, plain):
    (outcome,) = run(write({**ROW, "number": "SIG-0042-2011-0002"}))
    assert outcome.result == "imported"


def test_numbering_passes_over_what_an_import_bears_and_the_check_names_doubles(write, plain, engineer, monkeypatch):
    year = plain.issued_on.year
    # As it could happen before such numbers were refused.
    with monkeypatch.context() as patched:
        patched.setattr(importing.numbering, "is_ours", lambda number: False)
        run(write({**ROW, "number": f"sig/0042/{year}/0002"}, {**ROW, "number": f"SIG-0042-{year}-0004"}))
    numbers = [issue(job=untested_job(engineer), by=engineer).number[-4:] for _ in range(2)]
    assert numbers == ["0003", "0005"]
    assert list(verify_chain()) == []
    with monkeypatch.context() as patched:
        patched.setattr(importing.numbering, "is_ours", lambda number: False)
        patched.setattr(importing.numbering, "holder_of", lambda number: None)
        run(write({**ROW, "number": plain.number.lower()}))
    assert [problem.what for problem in verify_chain()] == [f"double: {plain.number} bears the same number"]
