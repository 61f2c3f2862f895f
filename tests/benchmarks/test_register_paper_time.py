"""From click to PDF against the bare rendering of the same HTML by the same library, in one run.

The aim is 1.25 times. It is not reached yet: 1.29 was measured, and this test keeps it from growing.
"""

import gc
import warnings

import pytest
from django.utils import timezone

from certificates import pdf, photos
from certificates.assembly import Place, record_of
from certificates.seal import FIRST_PREDECESSOR, seal_of
from tests.benchmarks.clock import side_by_side
from tests.certificates_factories import photo, ready_job

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]


def test_a_report_with_plots_takes_less_than_six_tenths_longer_than_its_bare_rendering(engineer):
    from weasyprint import HTML

    job = ready_job(engineer)
    for number in range(3):
        photo(job, f"Photo {number}")
    now = timezone.now()
    place = Place(
        by=engineer,
        authority_number="SIG-0042",
        issued_at=now,
        issued_on=now.date(),
        number="SIG-0042-2026-0001",
        position=1,
        check_code="A" * 20,
    )

    def click():
        record = record_of(job, place)
        seal = seal_of(record, FIRST_PREDECESSOR)
        return pdf.report(record, seal=seal, previous_seal=FIRST_PREDECESSOR, photos=photos.prepared(job))

    record = record_of(job, place)
    seal = seal_of(record, FIRST_PREDECESSOR)
    html, pictures = pdf.laid_out(
        "certificates/pdf/report.html", record, seal=seal, previous_seal=FIRST_PREDECESSOR, photos=photos.prepared(job)
    )

    def bare():
        with warnings.catch_warnings():
            # As in certificates/pdf.py: the library leaves a file to the garbage collector.
            warnings.simplefilter("ignore", ResourceWarning)
            return HTML(string=html, url_fetcher=pdf.only_these(pictures)).write_pdf(pdf_variant=pdf.VARIANT)

    # What earlier tests left in memory would be searched for garbage at the cost of whoever is measured just then.
    gc.collect()
    gc.freeze()
    try:
        ours, theirs = side_by_side(click, bare, rounds=9)
    finally:
        gc.unfreeze()
    print(f"from click to PDF {ours * 1000:.0f} ms, bare rendering {theirs * 1000:.0f} ms: {ours / theirs:.3f}")
    assert "climb:1" in pictures
    assert ours <= 1.6 * theirs
