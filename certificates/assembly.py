"""The record of a job: everything its certificate says, as plain data that needs no computing to be read."""

from certificates import outcomes
from certificates.record_of_testing import (
    cautions_of,
    covers_of,
    driving_report_of,
    rules_of,
    test_days_of,
    triage_of,
    when,
)
from testing.triage.canonical import plain
from vehicles.calculations import ranges

SCHEMA = "certificate 1"
_WORDS = ("make", "model", "built_year", "vin", "plate", "plate_state", "adr_category", "fuel", "tyre", "esc")


def record_of(job, *, by, issued_at, issued_on, number="", position=0, predecessor=None):
    """The record as it would be sealed. Without a number it is a draft."""
    outcome = outcomes.of(job)
    return plain(
        {
            "schema": SCHEMA,
            "number": number,
            "position": position,
            "predecessor": predecessor,
            "issued_at": when(issued_at),
            "issued_on": issued_on.isoformat(),
            "signatory": {"account": by.pk, "name": by.full_name, "authority_number": by.authority_number},
            "declaration": outcomes.DECLARATION,
            "outcome": outcome and outcome.as_dict(),
            "job": {
                "number": job.number,
                "jurisdiction": job.jurisdiction,
                "jurisdiction_name": job.get_jurisdiction_display(),
                "opened_at": when(job.created_at),
            },
            "owner": {"name": job.owner.name},
            "vehicle": _vehicle(job.vehicle),
            "modifications": [_modification(mod) for mod in job.vehicle.modifications.all()],
            "rules": rules_of(job),
            "triage": triage_of(job),
            "test_days": test_days_of(job),
            "driving_report": driving_report_of(job),
            "cover": covers_of(job),
            "documents": [_document(document) for document in job.vehicle.documents.all()],
            "cautions": cautions_of(job),
            "limits": outcomes.limits_of(outcome),
        }
    )


def _vehicle(vehicle):
    facts = {name: getattr(vehicle, name) for name in (*_WORDS, *ranges.VEHICLE)}
    if facts["market_value_aud"] is not None:
        facts["market_value_aud"] = f"{facts['market_value_aud']:.2f}"
    return {"name": vehicle.name, **facts}


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
