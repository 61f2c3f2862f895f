"""The record of a job: everything its certificate says, as plain data that needs no computing to be read."""

from dataclasses import dataclass
from datetime import date, datetime

from certificates import checking, outcomes, words
from certificates.moments import when
from certificates.record_of_sheet import measurements_of
from certificates.record_of_testing import (
    covers_of,
    driving_report_of,
    rules_of,
    test_days_of,
    triage_of,
)
from certificates.record_of_vehicle import certified_of, vehicle_of, workshop_of
from testing.triage.canonical import plain

SCHEMA = "certificate 2"


@dataclass(frozen=True, kw_only=True)
class Place:
    """Where a certificate stands: when, by whom, under which number, behind which one. A draft has no number."""

    by: object
    authority_number: str
    issued_at: datetime
    issued_on: date
    number: str = ""
    position: int = 0
    predecessor: dict | None = None
    check_code: str | None = None
    signing_key: dict | None = None
    replaces: str | None = None

    def as_dict(self):
        """What of a record depends on the act of issuing and not on the file of the job."""
        return {
            "schema": SCHEMA,
            "number": self.number,
            "position": self.position,
            "predecessor": self.predecessor,
            "issued_at": when(self.issued_at),
            "issued_on": self.issued_on.isoformat(),
            "signatory": {
                "account": self.by.pk,
                "name": self.by.full_name,
                "authority_number": self.authority_number,
            },
            "check": self.check_code and {"code": self.check_code, "address": checking.address(self.check_code)},
            "signing_key": self.signing_key,
            "replaces": self.replaces,
            "declaration": outcomes.DECLARATION,
        }


def record_of(job, place):
    """The record as it would be sealed at this place: everything a reader needs, nothing to compute."""
    outcome = outcomes.of(job)
    return plain(
        {
            **place.as_dict(),
            "outcome": outcome and outcome.as_dict(),
            "job": {
                "number": job.number,
                "jurisdiction": job.jurisdiction,
                "jurisdiction_name": job.get_jurisdiction_display(),
                "opened_at": when(job.created_at),
            },
            "owner": {"name": job.owner.name},
            "workshop": workshop_of(),
            "vehicle": vehicle_of(job.vehicle),
            "certified": certified_of(job),
            "modifications": [_modification(mod) for mod in job.vehicle.modifications.all()],
            "words": words.written(job),
            "rules": rules_of(job),
            "triage": triage_of(job),
            "test_days": test_days_of(job),
            "driving_report": driving_report_of(job),
            "measurements": measurements_of(job),
            "cover": covers_of(job),
            "documents": [_document(document) for document in job.vehicle.documents.standing()],
            "limits": outcomes.limits_of(outcome),
        }
    )


def _modification(modification):
    return {
        "kind": modification.kind,
        "title": modification.get_kind_display(),
        "values": modification.values,
        "measurements": [{"label": label, "value": value} for label, value in modification.measurements()],
        "note": modification.note,
    }


def _document(document):
    return {
        "kind": document.kind,
        "caption": document.caption,
        "original_name": document.original_name,
        "content_type": document.content_type,
        "sha256": document.sha256,
        "added_at": when(document.added_at),
    }
