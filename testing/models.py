"""What deciding, planning and testing write down."""

from .scheduling.models import BookedSlot, Booking, CrewMember, ForecastHour, InsuranceCover, Site
from .testday.models import Check, DriverStatement, DrivingReport, Release, Run, StruckRun, TestDay
from .triage.models import DraftEdition, EditionCheck, Override, RuleEdit, RuleSetEdition, SignedTriage

__all__ = [
    "BookedSlot",
    "Booking",
    "Check",
    "CrewMember",
    "DraftEdition",
    "DriverStatement",
    "DrivingReport",
    "EditionCheck",
    "ForecastHour",
    "InsuranceCover",
    "Override",
    "Release",
    "RuleEdit",
    "RuleSetEdition",
    "Run",
    "SignedTriage",
    "Site",
    "StruckRun",
    "TestDay",
]
