"""People, jobs, the trail of what was done, and what was typed and not yet sent."""

from .audit import AuditEntry
from .counter import Counter
from .draft import Draft
from .job import Job
from .people import Owner, User

__all__ = ["AuditEntry", "Counter", "Draft", "Job", "Owner", "User"]
