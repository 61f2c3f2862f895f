"""What planning writes down, by subject."""

from testing.scheduling.booking_models import BookedSlot, Booking, Hire, InsuranceCover
from testing.scheduling.crew_models import BarredOwner, CrewMember
from testing.scheduling.feed_models import CalendarFeed
from testing.scheduling.gear_models import BallastStock, Instrument
from testing.scheduling.go_models import GoDecision, PreparationCheck
from testing.scheduling.site_models import Site, SiteBlackout, check_time_zone
from testing.scheduling.weather_models import (
    Climatology,
    ForecastFetch,
    ForecastHour,
    PastHour,
    WaitingFile,
    WeatherColumns,
)

__all__ = [
    "BallastStock",
    "BarredOwner",
    "BookedSlot",
    "Booking",
    "CalendarFeed",
    "Climatology",
    "CrewMember",
    "ForecastFetch",
    "ForecastHour",
    "GoDecision",
    "Hire",
    "Instrument",
    "InsuranceCover",
    "PastHour",
    "PreparationCheck",
    "Site",
    "SiteBlackout",
    "WaitingFile",
    "WeatherColumns",
    "check_time_zone",
]
