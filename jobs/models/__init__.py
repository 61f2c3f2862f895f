"""People, jobs, the trail of what was done, what the owner was told and said, and what was typed and not yet sent."""

from .audit import AuditEntry
from .bounce import BouncedMessage
from .counter import Counter
from .draft import Draft
from .ending import Ending
from .estimate import Cost, Estimate, EstimateEvent, Payment, SentEstimate
from .job import Job
from .line import BookLine, BookView, Waiting
from .outbox import OutboxAttachment, OutboxAttempt, OutboxMessage
from .owner_link import OwnerCode, OwnerLink
from .owner_says import MorningAnswer, NoMail, OfferedMorning, OwnerQuestion, OwnerUpload, OwnerWord
from .people import Owner, User
from .visits import Visits
from .workshop import Authority, MessageText, PriceBookEdition, Workshop

__all__ = [
    "AuditEntry",
    "Authority",
    "BookLine",
    "BookView",
    "BouncedMessage",
    "Cost",
    "Counter",
    "Draft",
    "Ending",
    "Estimate",
    "EstimateEvent",
    "Job",
    "MessageText",
    "MorningAnswer",
    "NoMail",
    "OfferedMorning",
    "OutboxAttachment",
    "OutboxAttempt",
    "OutboxMessage",
    "Owner",
    "OwnerCode",
    "OwnerLink",
    "OwnerQuestion",
    "OwnerUpload",
    "OwnerWord",
    "Payment",
    "PriceBookEdition",
    "SentEstimate",
    "User",
    "Visits",
    "Waiting",
    "Workshop",
]
