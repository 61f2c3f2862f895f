"""From the click that signs to both PDFs stored, against the bare rendering of the same HTML by the same library.

The click is the real one: a request through every middleware, the look for gaps, the record, number,
seal, both papers and the transaction. The bare side gets the HTML and the pictures ready made.
Where a signatory has a key, its signature under both papers comes on top; no rendering has that.
"""

import gc
import warnings

import pytest
from django.urls import reverse

from certificates import papers, pdf, photos
from certificates.models import Certificate
from certificates.stack import with_room
from tests.benchmarks.clock import once
from tests.certificates_factories import photo, ready_job

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]

LIMIT = 1.25
FEWEST, MOST = 4, 15


def click(client, engineer):
    """Seconds from click to PDF, and the certificate that it brought."""
    job = ready_job(engineer)
    for number in range(3):
        photo(job, f"Photo {number}")
    page = reverse("certificates:issue", args=[job.number])
    took = once(lambda: client.post(page, {"declared": "on"}))
    return took, Certificate.objects.get(job=job)


def bare(certificate):
    """Seconds that the library alone takes for the two pages of this certificate."""
    sealed = {"seal": certificate.seal, "previous_seal": certificate.previous_seal}
    pictures = {"certificate": None, "report": photos.prepared(certificate.job)}
    pages = [
        pdf.laid_out(f"certificates/pdf/{kind.key}.html", certificate.record, **sealed, photos=pictures[kind.key])
        for kind in papers.KINDS
    ]
    assert "climb:1" in pages[1][1]
    return once(lambda: [_rendered(*page) for page in pages])


def _rendered(html, pictures):
    from weasyprint import HTML

    with warnings.catch_warnings():
        # As in certificates/pdf.py: the library leaves a file to the garbage collector.
        warnings.simplefilter("ignore", ResourceWarning)
        page = HTML(string=html, url_fetcher=pdf.only_these(pictures))
        # With the same room on the stack as our own: how deep a test stands must not decide.
        return with_room(lambda: page.write_pdf(pdf_variant=pdf.VARIANT))


def test_a_certificate_with_plots_takes_a_quarter_longer_than_its_bare_rendering_at_most(engineer, as_):
    client = as_(engineer)
    # The first of each is slower: libraries are imported, fonts are found.
    bare(click(client, engineer)[1])
    clicks, bares = [], []
    # What earlier tests left in memory would be searched for garbage at the cost of whoever is measured just then.
    gc.collect()
    gc.freeze()
    try:
        # Other work on the machine only ever lengthens a time: the shortest of each side is what it takes.
        while len(clicks) < FEWEST or (len(clicks) < MOST and min(clicks) > LIMIT * min(bares)):
            took, certificate = click(client, engineer)
            clicks.append(took)
            bares.append(bare(certificate))
    finally:
        gc.unfreeze()
    ours, theirs = min(clicks), min(bares)
    print(f"click to PDF {ours * 1000:.0f} ms, bare {theirs * 1000:.0f} ms, {len(clicks)} rounds: {ours / theirs:.3f}")
    assert ours <= LIMIT * theirs
