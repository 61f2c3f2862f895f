import pytest

from certificates import sealing
from certificates.services import issue
from tests.certificates_factories import untested_job


@pytest.fixture
def plain_papers(monkeypatch):
    """Papers of one line, for tests that are about the register and not about how a paper looks."""

    def paper(kind):
        return lambda record, *, seal, **details: f"%PDF {kind} {record['number']} {seal}".encode()

    for kind in ("certificate", "report"):
        monkeypatch.setattr(sealing.pdf, kind, paper(kind))


@pytest.fixture
def plain(engineer, plain_papers):
    """A certificate with papers of one line."""
    return issue(job=untested_job(engineer), by=engineer)
