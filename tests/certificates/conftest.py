import pytest

from certificates import services


@pytest.fixture
def plain_papers(monkeypatch):
    """Papers of one line, for tests that are about the register and not about how a paper looks."""

    def paper(record, *, seal, **details):
        return f"%PDF {record['number']} {seal}".encode()

    monkeypatch.setattr(services.pdf, "certificate", paper)
    monkeypatch.setattr(services.pdf, "report", paper)
