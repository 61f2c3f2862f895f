"""The rooms of the register in the world to walk through: an imported certificate, an audit, a finding."""

import csv
import tempfile
from pathlib import Path

from django.core.files.base import ContentFile

from certificates import audits, checking, import_batches, importing
from certificates.models import ImportedCertificate
from jobs.models import User

TABLE = b"number,issued_on,owner,plate\nOLD/18,2019-03-04,Olive Owner,OLD18\n,soon,,\n"
ROW = {"number": "OLD/17", "issued_on": "2019-03-04", "owner": "Olive Owner", "plate": "OLD17", "pdf": "old.pdf"}


def things(certificate):
    """What an address of the register may take, by name."""
    auditor = User.objects.get(username="admin")
    imported = _import()
    audit = audits.draw(by=auditor, criteria={}, size=1)
    finding = audits.find_fault(subject=certificate, by=auditor, text="A page is faint.", grade="minor", audit=audit)
    return {
        "check": {"code": checking.spelled(certificate.check_code)},
        "imported": {"pk": imported.pk},
        "import batch": {"token": import_batches.keep(table=ContentFile(TABLE), papers=None)},
        "audit": {"number": audit.number},
        "finding": {"position": finding.position},
    }


def _import():
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "old.pdf").write_bytes(b"%PDF-1.4 old paper")
        table = Path(folder) / "old.csv"
        with table.open("w", newline="") as file:
            rows = csv.DictWriter(file, list(ROW))
            rows.writeheader()
            rows.writerow(ROW)
        list(importing.run(file=table, pdfs=folder))
    return ImportedCertificate.objects.get()


TAKES = {
    "none": [
        *("certificates:register", "certificates:export", "certificates:head", "certificates:enter_code"),
        *("certificates:audits", "certificates:draw", "certificates:import"),
    ],
    "import batch": ["certificates:import_batch"],
    "check": ["certificates:check"],
    "imported": [
        f"certificates:{name}"
        for name in (
            *("imported", "imported_pdf", "finding_imported"),
            *("withdraw_imported", "supersede_imported", "transfer_imported"),
        )
    ],
    "certificate": [
        f"certificates:{name}"
        for name in (
            *("certificate", "certificate_pdf", "report_pdf", "whole_file", "evidence_pack"),
            *("correct", "supersede", "withdraw", "transfer", "finding"),
        )
    ],
    "finding": ["certificates:follow_up"],
    "audit": ["certificates:audit", "certificates:audit_pack"],
}
