# ruff: noqa: S608  every part of the statements is written in this file
"""The register at two hundred thousand certificates, against the bare indexed query of the same database."""

import tracemalloc

import pytest
from django.db import connection

from certificates import export, search
from certificates.models import RegisterLine
from tests.benchmarks.clock import side_by_side
from tests.factories import UserFactory
from tests.register_bulk import LINES, fill

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]

COLUMNS = ", ".join(f"l.{name}" for name in search.Line._fields)
LINE, KEY = "certificates_registerline l", "certificates_registerkey k"
POSTGRES = connection.vendor == "postgresql"
SCAN_MB = 40


def begins(word):
    return f"k.key LIKE '{word}%'" if POSTGRES else f"k.key >= '{word}' AND k.key < '{word}\U0010ffff'"


def listed(condition):
    return lambda way: f"SELECT {COLUMNS} FROM {LINE} WHERE {condition} ORDER BY l.place {way} LIMIT 51"


def begun(kind, word):
    return listed(f"l.place IN (SELECT k.line_id FROM {KEY} WHERE k.kind = '{kind}' AND {begins(word)})")


def whole(kind, word):
    return lambda way: (
        f"SELECT {COLUMNS} FROM {LINE} JOIN {KEY} ON k.line_id = l.place "
        f"WHERE k.kind = '{kind}' AND k.key = '{word}' ORDER BY k.line_id {way} LIMIT 51"
    )


# What is searched for, and the query a database engineer would write for it by hand.
KEYS = {
    "everything": ({}, listed("1 = 1")),
    "number": ({"number": "SIG-0003-2026-150003"}, begun("no", "SIG00032026150003")),
    "year and count": ({"number": "2026-1500"}, begun("no", "20261500")),
    "plate": ({"plate": "P800-000"}, begun("pl", "P800000")),
    "beginning of a plate": ({"plate": "P00"}, begun("pl", "P00")),
    "VIN": ({"vin": "6T1BAN58000000000"}, begun("vin", "6T1BAN58000000000")),
    "end of a VIN": ({"vin": "00000000"}, begun("vin", "00000000")),
    "middle of a VIN": ({"vin": "AN5800"}, begun("vin", "AN5800")),
    "owner": ({"owner": "Saltbush"}, begun("own", "SALTBUSH")),
    "engineer": ({"engineer": "Jarrah"}, whole("eng", "JARRAH")),
    "modification kind": ({"modification": "body lift"}, whole("mod", "BODYLIFT")),
    "modification code": ({"modification": "LT2"}, whole("mod", "LT2")),
    "jurisdiction": ({"jurisdiction": "WA"}, listed("l.jurisdiction = 'WA'")),
    "outcome": ({"outcome": "driving_report"}, listed("l.outcome = 'driving_report'")),
    "state": ({"state": "withdrawn"}, listed("l.state = 'withdrawn'")),
    "wind": ({"wind_from": 2.9}, listed("l.wind_mps >= 2.9")),
    "speed": ({"speed_from": 110.0, "speed_to": 110.0}, listed("l.speed_kmh = 110")),
}


@pytest.fixture
def register():
    fill(UserFactory(roles=["engineer"], authority_number="SIG-0001"))


def bare(statement):
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return cursor.fetchall()


def test_the_register_answers_at_two_hundred_thousand(register):
    """One test: writing the register takes longer than all that is asked of it."""
    assert RegisterLine.objects.count() == LINES
    slow = [line for name in KEYS for line in _slow(name)]
    assert slow == []
    _export_streams()


def _slow(name):
    criteria, by_hand = KEYS[name]
    for way, oldest in (("DESC", False), ("ASC", True)):
        statement = by_hand(way)
        found = search.page(criteria, oldest=oldest).lines
        assert {line.place for line in found} == {row[0] for row in bare(statement)[:50]}, name
        assert found, name
        ours, theirs = side_by_side(lambda: search.page(criteria, oldest=oldest), lambda: bare(statement), rounds=9)  # noqa: B023
        print(f"{name:22} {'last' if oldest else 'first'} page {ours * 1e6:7.0f} µs, bare {theirs * 1e6:7.0f} µs")
        if ours > 3 * theirs:
            yield f"{name}, {'last' if oldest else 'first'} page: {ours * 1000:.2f} ms, bare {theirs * 1000:.2f} ms"


def _export_streams():
    """Whatever the length, no more than a few batches are in memory."""
    rows = export.rows({})
    next(rows)
    tracemalloc.start()
    try:
        peaks = []
        for count in (2_000, 30_000):
            tracemalloc.reset_peak()
            for _ in range(count):
                next(rows)
            peaks.append(tracemalloc.get_traced_memory()[1])
    finally:
        tracemalloc.stop()
    print(f"export: {peaks[0] / 1e6:.1f} MB after 2,000 lines, {peaks[1] / 1e6:.1f} MB after 30,000 more")
    assert peaks[1] < 1.3 * peaks[0] + 1_000_000
