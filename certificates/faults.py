"""What is wrong with one certificate by itself: its record, its seal, the columns beside the record."""

from certificates.canonical import NotCanonical
from certificates.seal import seal_of


def columns(certificate):
    """What the columns beside the record repeat, in the record's own shape."""
    return {
        "number": certificate.number,
        "position": certificate.position,
        "job": certificate.job.number,
        "replaces": certificate.replaces and certificate.replaces.number,
        "check code": certificate.check_code,
        "plate": certificate.plate,
        "vin": certificate.vin,
        "owner": certificate.owner_name,
        "issued_on": certificate.issued_on.isoformat(),
        "issued_at": certificate.issued_at.isoformat(),
        "signatory": certificate.issued_by_id,
    }


def sealed_columns(record):
    return {
        "number": record["number"],
        "position": record["position"],
        "job": record["job"]["number"],
        # Certificates of the first schema had neither.
        "replaces": record.get("replaces"),
        "check code": (record.get("check") or {}).get("code"),
        "plate": record["vehicle"]["plate"],
        "vin": record["vehicle"]["vin"],
        "owner": record["owner"]["name"],
        "issued_on": record["issued_on"],
        "issued_at": record["issued_at"],
        "signatory": record["signatory"]["account"],
    }


def own_faults(certificate, record):
    """Every fault of one certificate in a sentence; none where all holds."""
    try:
        holds = seal_of(record, certificate.previous_seal) == certificate.seal
        sealed = sealed_columns(record)
    except (NotCanonical, KeyError, TypeError, AttributeError):
        return ["the record was changed: it is not one that was ever sealed"]
    faults = [] if holds else ["the record or its seal was changed after it was sealed"]
    beside = columns(certificate)
    return faults + [
        f"the register shows {name} as “{beside[name]}”, the record says “{sealed[name]}”"
        for name in beside
        if beside[name] != sealed[name]
    ]
