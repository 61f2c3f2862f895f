"""The register: what was issued, what happened to it afterwards, and the index it is searched by."""

from .audit import Audit
from .certificate import Certificate
from .event import Event
from .imported import ImportedCertificate
from .line import RegisterKey, RegisterLine
from .words import Words

__all__ = [
    "Audit",
    "Certificate",
    "Event",
    "ImportedCertificate",
    "RegisterKey",
    "RegisterLine",
    "Words",
]
