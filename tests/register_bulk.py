# ruff: noqa: S608  every part of the statements is written in this file
"""A register of two hundred thousand certificates, written by the database itself in a few statements."""

from django.db import connection

from certificates.models import RegisterKey
from tests.factories import JobFactory

LINES = 200_000
FIRST_DAY = 730_000  # in 1999, as date.toordinal counts
A_DAY = 25
GIVEN = ("Olive", "Bruno", "Clara", "Dirk", "Edda", "Farid", "Greta", "Hanna", "Ivo", "Jonas", "Kofi")
FAMILY = tuple(
    f"{first}{last}"
    for first in ("Salt", "Wattle", "Mallee", "Banks", "Iron")
    for last in ("bush", "wood", "field", "ley", "marsh", "ridge", "mere")
)
ENGINEERS = ("Karri", "Tingle", "Jarrah", "Marri", "Wandoo")
STATES = ("NSW", "VIC", "QLD", "WA", "SA")
MODIFICATIONS = ("SUSPENSIONLIFT", "BODYLIFT", "TYRECHANGE", "GVMUPGRADE")
OUTCOMES = ("lane_change_test_passed", "driving_report", "no_test_required")


class Sql:
    """What the two databases spell differently."""

    def __init__(self):
        self.postgres = connection.vendor == "postgresql"

    @property
    def series(self):
        if self.postgres:
            return f"WITH s AS (SELECT generate_series(CAST(1 AS bigint), {LINES}) AS n)"
        return f"WITH RECURSIVE s(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM s WHERE n < {LINES})"

    def padded(self, number, width):
        return f"lpad(({number})::text, {width}, '0')" if self.postgres else f"printf('%0{width}d', {number})"

    def one_of(self, values, which):
        cases = " ".join(f"WHEN {index} THEN '{value}'" for index, value in enumerate(values))
        return f"CASE ({which}) % {len(values)} {cases} END"

    @property
    def day(self):
        days = f"((n - 1) / {A_DAY})"
        return (
            f"DATE '1999-09-03' + CAST({days} AS integer)"
            if self.postgres
            else f"date('1999-09-03', '+' || {days} || ' days')"
        )

    @property
    def place(self):
        return f"(CAST({FIRST_DAY} + (n - 1) / {A_DAY} AS bigint) * 100000000 + 2 * n)"


def columns(sql):
    """What each line shows, from its count n."""
    return {
        "place": sql.place,
        "certificate_id": "n",
        "number": f"'SIG-' || {sql.padded('n % 5', 4)} || '-2026-' || {sql.padded('n', 6)}",
        "issued_on": sql.day,
        "vehicle": "'2019 Banksia Tourer'",
        "plate": f"'P' || {sql.padded('(n * 7919) % 1000000', 6)}",
        "vin": f"'6T1BAN' || {sql.padded('(n * 104729) % 10000000', 7)} || {sql.padded('n % 10000', 4)}",
        "owner": f"{sql.one_of(GIVEN, 'n')} || ' ' || {sql.one_of(FAMILY, 'n / 3')}",
        "engineer": f"'Edda ' || {sql.one_of(ENGINEERS, 'n')} || ', SIG-' || {sql.padded('n % 5', 4)}",
        "jurisdiction": sql.one_of(STATES, "n / 7"),
        "outcome": sql.one_of(OUTCOMES, "n / 11"),
        "wind_mps": "(n % 31) / 10.0",
        "speed_kmh": "80 + 10 * (n % 5)",
        "state": "CASE WHEN n % 97 = 0 THEN 'withdrawn' ELSE 'valid' END",
    }


def keys(sql):
    """Each (kind, key) of a line, from its columns."""
    yield "'no'", "'SIG' || substr(number, 5, 4) || '2026' || substr(number, 15)"
    yield "'no'", "'2026' || substr(number, 15)"
    yield "'pl'", "plate"
    for start in range(1, 15):
        yield "'vin'", f"substr(vin, {start})"
    yield "'own'", sql.one_of([name.upper() for name in GIVEN], "n")
    yield "'own'", sql.one_of([name.upper() for name in FAMILY], "n / 3")
    yield "'eng'", "'EDDA'"
    yield "'eng'", sql.one_of([name.upper() for name in ENGINEERS], "n")
    yield "'mod'", sql.one_of(MODIFICATIONS, "n / 5")
    yield "'mod'", "CASE WHEN n % 2 = 0 THEN 'LT2' ELSE 'LS9' END"


def fill(by):
    """Write the register. Seals are none: what is tried here is finding."""
    sql, job = Sql(), JobFactory()
    shown = columns(sql)
    names, values = ", ".join(shown), ", ".join(shown.values())
    # An index over what is there already is made many times faster than one that grows with it.
    editor = connection.SchemaEditorClass(connection)
    indexes = RegisterKey._meta.indexes
    with connection.cursor() as cursor:
        for index in indexes:
            cursor.execute(f"DROP INDEX {index.name}")
        cursor.execute(_certificates(sql, shown, job, by))
        cursor.execute(f"{_insert('registerline', names)} {sql.series} SELECT {values} FROM s")
        # The count of a line is the entry of its certificate.
        lines = "(SELECT certificate_id AS n, place, number, plate, vin FROM certificates_registerline) AS line"
        for kind, key in keys(sql):
            cursor.execute(f"{_insert('registerkey', 'line_id, kind, key')} SELECT place, {kind}, {key} FROM {lines}")
        for index in indexes:
            cursor.execute(str(index.create_sql(RegisterKey, editor)))
        cursor.execute("ANALYZE certificates_registerline")
        cursor.execute("ANALYZE certificates_registerkey")


def _insert(table, names):
    return f"INSERT INTO certificates_{table} ({names})"


def _certificates(sql, shown, job, by):
    """One line of corrections of one job is the shortest way to so many that every constraint allows."""
    values = {
        "id": "n",
        "number": shown["number"],
        "position": "n",
        "job_id": str(job.pk),
        "replaces_id": "CASE WHEN n > 1 THEN n - 1 END",
        "record": "'{}'",
        "previous_seal": sql.padded("n", 64),
        "seal": sql.padded("n + 1", 64),
        "certificate_pdf": "''",
        "certificate_sha256": "''",
        "report_pdf": "''",
        "report_sha256": "''",
        "plate": shown["plate"],
        "vin": shown["vin"],
        "owner_name": shown["owner"],
        "issued_on": shown["issued_on"],
        "issued_by_id": str(by.pk),
        "issued_at": "'2026-01-01 00:00:00+00:00'",
    }
    return f"{_insert('certificate', ', '.join(values))} {sql.series} SELECT {', '.join(values.values())} FROM s"
