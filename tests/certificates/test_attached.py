"""The data attached to the papers, read back by another reader than the writer."""

import hashlib
import json
from io import BytesIO

import pytest
from pypdf import PdfReader

from certificates import papers, pdf, qr
from certificates.services import issue
from tests.certificates.test_pdf import TEST_MASS_1_KG, TEST_MASS_2_KG, WIDTHS_M
from tests.certificates_factories import ready_job


@pytest.fixture
def issued(engineer):
    return issue(job=ready_job(engineer), by=engineer)


@pytest.mark.parametrize("kind", papers.KINDS, ids=lambda kind: kind.key)
def test_the_attached_bytes_behind_the_seal_before_give_the_seal(issued, kind):
    reader = PdfReader(BytesIO(papers.read(issued, kind)))
    content = reader.attachments["record.json"][0]
    assert hashlib.sha256(issued.previous_seal.encode() + b"\n" + content).hexdigest() == issued.seal
    record = json.loads(content)
    assert record == issued.record
    # The numbers as computed by hand in test_pdf.py.
    (day,) = record["test_days"]
    assert day["work_up"]["masses"]["tm1_kg"] == pytest.approx(TEST_MASS_1_KG)
    assert day["work_up"]["masses"]["tm2_kg"] == pytest.approx(TEST_MASS_2_KG)
    widths = [section["width_m"] for section in day["work_up"]["course"]["sections"]]
    assert [widths[0], widths[2], widths[4]] == pytest.approx(WIDTHS_M)
    # ISO 19005-3, 6.8: an associated file says how it relates to the document.
    assert {file.get_object()["/AFRelationship"] for file in reader.root_object["/AF"]} == {"/Data"}


def test_a_long_report_has_a_table_of_contents_with_the_right_pages(issued):
    reader = PdfReader(BytesIO(papers.read(issued, papers.REPORT)))
    pages = [" ".join(page.extract_text().split()) for page in reader.pages]
    assert "Contents" in pages[0]
    checked = 0
    for title in ("Which tests and reports are called for", "Insurance cover", "Photos", "Evidence on file"):
        told = int(pages[0].split(title, 1)[1].lstrip(". ").split()[0].rstrip("."))
        assert title in pages[told - 1], title
        checked += 1
    assert checked == 4


def test_plots_are_in_the_report_with_words_for_those_who_do_not_see_them(issued):
    html, pictures = pdf.laid_out(
        "certificates/pdf/report.html", issued.record, seal=issued.seal, previous_seal=issued.previous_seal, photos={}
    )
    svg = pictures["climb:1"][1].decode()
    runs = issued.record["test_days"][0]["runs"]
    # One shape for each run: 9 clean, 1 with cones moved; a ring for each of the four at Test Mass 2.
    assert svg.count('r="4.2"') == 9 + 1
    assert svg.count('r="7.5"') == sum(run["mass"] == "tm2" for run in runs)
    assert "Speed and wind of 10 runs in order; 8 clean runs count" in html


def test_the_qr_code_has_the_margin_and_the_spare_of_its_standard(issued):
    import segno

    drawn = qr.drawing(issued.record["check"]["address"]).decode()
    code = segno.make(issued.record["check"]["address"], error="m", micro=False)
    size = code.symbol_size(scale=4, border=4)[0]
    assert f'width="{size}"' in drawn
    # ISO/IEC 18004: four modules of quiet zone on each side, level M at least.
    assert code.symbol_size(border=4)[0] - code.symbol_size(border=0)[0] == 8
    assert code.error in ("M", "Q", "H")


@pytest.mark.parametrize("kind", papers.KINDS, ids=lambda kind: kind.key)
def test_another_program_reads_the_printed_qr_code_as_the_printed_address(issued, kind):
    import pypdfium2
    import zxingcpp

    address, document = issued.record["check"]["address"], pypdfium2.PdfDocument(papers.read(issued, kind))
    # As a phone sees a printed sheet: 150 dots to the inch are enough.
    pictures = [page.render(scale=150 / 72).to_pil() for page in document]
    document.close()
    (code,) = [found for picture in pictures for found in zxingcpp.read_barcodes(picture)]
    assert (code.format, code.text) == (zxingcpp.BarcodeFormat.QRCode, address)
    text = "".join(page.extract_text() for page in PdfReader(BytesIO(papers.read(issued, kind))).pages)
    assert address in "".join(text.split())
