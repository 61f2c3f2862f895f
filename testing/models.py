"""What deciding, planning and testing write down."""

from .scheduling.models import BookedSlot, Booking, CrewMember, ForecastHour, InsuranceCover, Site
from .testday.models import Check, DriverStatement, DrivingReport, Release, Run, StruckRun, TestDay
from .triage.models import Override, RuleSetEdition, SignedTriage

__all__ = [
    "BookedSlot",
    "Booking",
    "Check",
    "CrewMember",
    "DriverStatement",
    "DrivingReport",
    "ForecastHour",
    "InsuranceCover",
    "Override",
    "Release",
    "RuleSetEdition",
    "Run",
    "SignedTriage",
    "Site",
    "StruckRun",
    "TestDay",
]
