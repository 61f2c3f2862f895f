"""Signing a PDF so that any reader can verify it: PAdES (ETSI EN 319 142-1), baseline B-B.

With a time-stamping authority (RFC 3161) it is baseline B-T: the signature can be verified after the
certificate of the key has run out, since somebody outside says that it was made before.
"""

import io

from django.conf import settings
from django.utils.formats import date_format

from jobs.refused import Refused

FIELD = "Signatory"
# For the signature with a chain of several certificates. Without it the library signs once more to find the size.
_ROOM_BYTES = 16_384
# For the token of a time stamp with the certificates behind it.
_ROOM_FOR_STAMP_BYTES = 16_384


def described(signer):
    """What the record says of the key: whose it is, who vouches for it, and its fingerprint."""
    if signer is None:
        return None
    certificate = signer.signing_cert
    return {
        "subject": _name(certificate.subject),
        "issuer": _name(certificate.issuer),
        "self_made": certificate.subject == certificate.issuer,
        "not_after": certificate.not_valid_after.isoformat(),
        "sha256": certificate.sha256.hex(),
    }


def _name(name):
    return str(name.native.get("common_name") or name.human_friendly)


def check_term(signer, at):
    """A key is used only while its certificate says it may be."""
    certificate = signer.signing_cert
    if not certificate.not_valid_before <= at <= certificate.not_valid_after:
        raise Refused(
            f"The certificate of the signing key holds from {date_format(certificate.not_valid_before)} to "
            f"{date_format(certificate.not_valid_after)}; today is outside."
        )


def _stamper():
    if not settings.TIME_STAMP_URL:
        return None
    from pyhanko.sign.timestamps import HTTPTimeStamper

    return HTTPTimeStamper(settings.TIME_STAMP_URL, timeout=settings.TIME_STAMP_TIMEOUT_S)


def sign(content, *, signer, record):
    """The PDF with the signature appended; the bytes before it stay as they are."""
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.sign import PdfSignatureMetadata, fields, sign_pdf
    from pyhanko.sign.timestamps import TimestampRequestError

    metadata = PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        subfilter=fields.SigSeedSubFilter.PADES,
        name=record["signatory"]["name"],
        reason=f"Certificate {record['number']}",
        location=record["job"]["jurisdiction_name"],
        # A certifying signature: readers report any later change of the file.
        certify=True,
        docmdp_permissions=fields.MDPPerm.NO_CHANGES,
    )
    stamper = _stamper()
    room = _ROOM_BYTES + (_ROOM_FOR_STAMP_BYTES if stamper else 0)
    try:
        written = IncrementalPdfFileWriter(io.BytesIO(content))
        return sign_pdf(written, metadata, signer=signer, timestamper=stamper, bytes_reserved=room).getvalue()
    except TimestampRequestError as error:
        # A paper without the stamp that the house wants would look like one that never had any.
        why = f"The time-stamping authority at {settings.TIME_STAMP_URL} gave no stamp; nothing is issued without it."
        raise Refused(f"{why} {error}.") from error
    except Exception as error:
        # A token can fail at this moment in as many ways as there are tokens; nothing is issued then.
        or_stamp = f", or {settings.TIME_STAMP_URL} sent no stamp that can be read" if stamper else ""
        raise Refused(f"The key did not sign{or_stamp}: {type(error).__name__} {error}".strip()) from error
