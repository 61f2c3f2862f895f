"""What was set aside does not stand in the report: neither its line nor its picture."""

import pytest

from certificates.services import issue
from jobs import services
from tests.certificates_factories import photo, ready_job

pytestmark = pytest.mark.django_db


def test_the_report_leaves_out_what_was_set_aside(engineer):
    job = ready_job(engineer)
    photo(job, "Stays", colour="#112233")
    wrong = photo(job, "Another car", colour="#445566")
    services.set_aside(by=engineer, job=job, document=wrong, reason="Shows another vehicle.")
    mistaken = photo(job, "Set aside by mistake", colour="#778899")
    services.set_aside(by=engineer, job=job, document=mistaken, reason="Looked like another car.")
    services.bring_back(by=engineer, job=job, document=mistaken)
    certificate = issue(job=job, by=engineer)
    captions = [document["caption"] for document in certificate.record["documents"]]
    assert "Stays" in captions
    assert "Another car" not in captions
    assert "Set aside by mistake" in captions
