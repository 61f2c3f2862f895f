"""Bringing in certificates from before this system: looked at first, line by line, and resumable.

Each line is one transaction. A line that is in already is recognised and left alone, so that the
same command goes on where it was broken off.
"""

import csv
import io
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils import timezone

from certificates import event_chain, lines, numbering, terms
from certificates.canonical import canonical
from certificates.import_papers import Folder
from certificates.import_rows import COLUMNS, REQUIRED, Wrong, read
from certificates.models import ImportedCertificate
from certificates.models.event import IMPORTED
from certificates.seal import sha256_of

READY, DONE, ALREADY, REFUSED = "ready", "imported", "in already", "refused"


class NoCsv(Exception):
    """The file cannot be read as the table that is needed."""


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What became of one line of the file."""

    line: int
    number: str
    result: str
    faults: tuple = ()

    @property
    def why(self):
        return "; ".join(self.faults)


def run(*, file, pdfs, by=None, dry_run=False):
    """Yield an Outcome for every line of the file, in its order.

    ``file`` is a path or an open binary file; ``pdfs`` a folder, or an Archive, or None.
    """
    papers = Folder(Path(pdfs)) if isinstance(pdfs, str | Path) else pdfs
    seen = {}
    for line, row in _table(file):
        yield _line(line, row, seen, papers, by, dry_run)


def count(file):
    """How many lines the table has. Raises NoCsv where it cannot be read to its end."""
    return sum(1 for _ in _table(file))


@contextmanager
def _as_text(file):
    if isinstance(file, str | Path):
        with Path(file).open(encoding="utf-8-sig", newline="") as opened:
            yield opened
        return
    file.seek(0)
    text = io.TextIOWrapper(file, encoding="utf-8-sig", newline="")
    try:
        yield text
    finally:
        # The file is the caller's to close.
        text.detach()
        file.seek(0)


def _table(file):
    """Line number and row. The whole file is read as text, comma or semicolon between the fields."""
    with _as_text(file) as opened:
        try:
            heading = opened.readline()
            opened.seek(0)
            rows = csv.DictReader(opened, delimiter=";" if heading.count(";") > heading.count(",") else ",")
            names = [name.strip().lower() for name in rows.fieldnames or ()]
            if missing := [name for name in REQUIRED if name not in names]:
                raise NoCsv(f"The heading lacks {', '.join(missing)}. Known columns: {', '.join(COLUMNS)}.")
            if unknown := [name for name in names if name not in COLUMNS]:
                raise NoCsv(f"The heading has unknown columns: {', '.join(unknown)}. Known: {', '.join(COLUMNS)}.")
            rows.fieldnames = names
            if double := sorted({name for name in names if names.count(name) > 1}):
                raise NoCsv(f"The heading names {', '.join(double)} more than once; each column may stand once.")
            for row in rows:
                yield rows.line_num, row
        except UnicodeDecodeError as error:
            raise NoCsv(f"The file is not UTF-8 text: {error}.") from error
        except csv.Error as error:
            raise NoCsv(f"The file is no readable CSV: {error}.") from error


def _line(line, row, seen, pdfs, by, dry_run):
    shown = (row.get("number") or "").strip()[:60]
    try:
        record = read(row)
        same = terms.compact(record["number"])
        if first := seen.get(same):
            raise Wrong([f"number “{record['number']}” stands in line {first} already; each may stand once"])
        seen[same] = line
        content = _content(record["pdf"], pdfs)
        record["pdf_sha256"] = sha256_of(content) if content else ""
        if _known(record):
            return Outcome(line=line, number=record["number"], result=ALREADY)
        if not dry_run:
            _store(record, content, by)
    except Wrong as wrong:
        return Outcome(line=line, number=shown, result=REFUSED, faults=wrong.faults)
    except IntegrityError:
        # Somebody else brought the same number in at this very moment: next time it is compared.
        fault = f"number “{shown}” is being imported by somebody else; look again"
        return Outcome(line=line, number=shown, result=REFUSED, faults=(fault,))
    return Outcome(line=line, number=record["number"], result=READY if dry_run else DONE)


def _content(name, papers):
    if not name:
        return b""
    if papers is None:
        raise Wrong([f"pdf “{name}” is named, and no PDFs were given"])
    content = papers.content(name)
    if not content.startswith(b"%PDF-"):
        raise Wrong([f"pdf “{name}” is no PDF"])
    return content


def _known(record):
    """Is this very line in the register? Another one of the same number, however it is spelled, is refused."""
    number = record["number"]
    there = numbering.holder_of(number)
    if there and there.certificate_id:
        raise Wrong([f"number “{number}” is one that this register gave itself, as {there.number}"])
    if numbering.is_ours(number):
        raise Wrong([f"number “{number}” is one that this register gives itself; allowed are numbers from before it"])
    if there is None:
        return False
    if there.number != number:
        raise Wrong([f"number “{number}” was imported as “{there.number}”; each may stand once, however it is spelled"])
    before = there.imported.record
    if before != record:
        different = sorted(name for name in record if before.get(name) != record[name])
        raise Wrong([f"number “{number}” was imported with another {', '.join(different)}; nothing is overwritten"])
    return True


@transaction.atomic
def _store(record, content, by):
    at = timezone.now().replace(microsecond=0)
    imported = ImportedCertificate.objects.create(
        number=record["number"],
        record=record,
        issued_on=record["issued_on"],
        pdf=_file(content, record["pdf_sha256"]) if content else "",
        pdf_sha256=record["pdf_sha256"],
        imported_by=by,
        imported_at=at,
    )
    # The day was given as text; as a date it orders the line.
    imported.refresh_from_db()
    event_chain.write(IMPORTED, imported, by=by, at=at, record_sha256=sha256_of(canonical(record)))
    lines.add(imported)


def _file(content, digest):
    """Stored under its own hash: after a crash the same file is found there and not stored twice."""
    name = f"imported/{digest}.pdf"
    if default_storage.exists(name) and default_storage.size(name) == len(content):
        return name
    default_storage.delete(name)
    return default_storage.save(name, ContentFile(content))
