"""certificates:export, the register as CSV."""

import csv
import io

import pytest
from django.urls import reverse

from certificates import search
from tests.certificates.test_register import entry, named

URL = reverse("certificates:export")


def table(response):
    return list(csv.DictReader(io.StringIO(b"".join(response.streaming_content).decode())))


def test_what_was_searched_for_comes_out_and_reads_back(engineer, auditor, as_):
    entry(1, by=engineer, owner="Olive Adams", plate="ABC12D")
    entry(2, by=engineer, owner='Bruno "B" Quoll, junior', plate="QQQ99Q")
    everything = table(as_(auditor).get(URL))
    assert [row["number"] for row in everything] == [named(2), named(1)]
    assert everything[0]["owner"] == 'Bruno "B" Quoll, junior'
    assert everything[0]["issued_on"] == "2026-03-04"
    assert everything[0]["sealed_at_issue"] == "yes"
    assert [row["plate"] for row in table(as_(auditor).get(URL, {"q": "olive"}))] == ["ABC12D"]


@pytest.mark.parametrize("name", ["=1+1", "+61 2", "-1", "@SUM(A1)"])
def test_no_cell_is_a_formula(engineer, auditor, as_, name):
    entry(1, by=engineer, owner=name)
    assert table(as_(auditor).get(URL))[0]["owner"] == f"'{name}"


def test_every_line_comes_once_however_the_batches_fall(engineer, monkeypatch):
    for position in range(1, 8):
        entry(position, by=engineer)
    for batch in (1, 2, 3, 6, 7, 8):
        lines = list(search.all_lines({}, batch=batch))
        assert [line.number for line in lines] == [named(position) for position in range(7, 0, -1)], batch


def test_an_unusable_search_exports_nothing(auditor, as_):
    response = as_(auditor).get(URL, {"from": "never"})
    assert response.status_code == 400
    assert "this is no date" in response.content.decode()
