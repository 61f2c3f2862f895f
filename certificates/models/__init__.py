"""The register: what was issued, what happened to it afterwards, and the index it is searched by."""

from .audit import Audit
from .certificate import Certificate
from .contact import NewOwnerContact
from .event import Event
from .imported import ImportedCertificate
from .line import RegisterKey, RegisterLine
from .met import MetBy
from .words import Words

__all__ = [
    "Audit",
    "Certificate",
    "Event",
    "ImportedCertificate",
    "MetBy",
    "NewOwnerContact",
    "RegisterKey",
    "RegisterLine",
    "Words",
]
