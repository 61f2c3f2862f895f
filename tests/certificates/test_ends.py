"""What the owner of a closed job reads follows how the certificate stands today."""

import pytest

from certificates import after_issue
from jobs import endings
from jobs.refused import Refused
from tests.owner_side import address

pytestmark = pytest.mark.django_db


def test_a_withdrawn_certificate_is_not_called_done(client, plain, engineer):
    assert "Your certificate is issued." in client.get(address(plain.job)).content.decode()
    after_issue.withdraw(subject=plain, by=engineer, reason="Recalled.")
    page = client.get(address(plain.job)).content.decode()
    assert "Your certificate was withdrawn: do not rely on it." in page
    assert "is issued" not in page


def test_only_a_paper_to_rely_on_stands_out(client, plain, engineer):
    assert client.get(address(plain.job)).content.decode().count("button next") == 1
    after_issue.withdraw(subject=plain, by=engineer, reason="Recalled.")
    page = client.get(address(plain.job)).content.decode()
    assert f"Withdrawn: Certificate {plain.number}" in page and "button next" not in page


def test_an_open_job_with_a_certificate_does_not_close_without_one(plain, engineer):
    plain.job.stage = "certification"
    plain.job.save()
    with pytest.raises(Refused, match=plain.number):
        endings.close(job=plain.job, by=engineer, reason="declined")
