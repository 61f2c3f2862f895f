"""What must hold for the test to happen: each condition met, not met or unknown, and why."""

from dataclasses import dataclass
from datetime import UTC

from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from testing.models import Instrument
from testing.scheduling import drivers, forecast, gear, sky
from testing.scheduling.locking import standing_booking
from testing.scheduling.room import room_for
from vehicles.calculations import weather
from vehicles.calculations.usable_hours import is_open
from vehicles.calculations.weather import MET, NOT_MET, UNKNOWN

ON_THE_DAY = "The anemometer on the day decides."


@dataclass(frozen=True, kw_only=True)
class Condition:
    """One condition. ``verdict`` is met, not_met or unknown; ``url`` is where it can be mended."""

    title: str
    verdict: str
    text: str
    url: str = ""

    @property
    def met(self):
        return self.verdict == MET


def conditions(job):
    """Every condition of the test day of this job, in the order in which it is prepared."""
    schedule = reverse("testing:schedule", args=[job.number])
    booking = standing_booking(job)
    if booking is None:
        return [
            Condition(title="Booking", verdict=NOT_MET, text="No day is booked yet.", url=schedule),
            _cover(job, None),
        ]
    return conditions_of(job, booking)


def conditions_of(job, booking):
    """As `conditions`, for a booking that stands."""
    driver_page = reverse("testing:crew_member", args=[booking.driver_id])
    found = [
        _stands(job, booking, reverse("testing:schedule", args=[job.number])),
        _site(job, booking),
        _driver(job, booking, driver_page),
        _drivers_mass(booking, driver_page),
        _instruments(booking),
        _cover(job, booking.day),
        _daylight(booking),
        weather_of(job, booking),
    ]
    return [condition for condition in found if condition]


def _stands(job, booking, url):
    if booking.held_until:
        text = f"{booking}: only held until {date_format(booking.held_until_local, 'j M Y, H:i')}. Confirm it."
        return Condition(title="Booking", verdict=NOT_MET, text=text, url=url)
    over = booking.ends_at <= timezone.now() and job.stage == "scheduling"
    text = f"{booking}." if not over else f"{booking}: that time is over. Move the booking."
    return Condition(title="Booking", verdict=NOT_MET if over else MET, text=text, url=url)


def _site(job, booking):
    site, start, end = booking.site, booking.local_start, booking.local_end
    url = reverse("testing:site", args=[site.pk])
    if not is_open(start=start, end=end, opens=site.opens, closes=site.closes):
        text = f"{site} is open from {site.opens:%H:%M} to {site.closes:%H:%M}; the booking is outside."
        return Condition(title="Site", verdict=NOT_MET, text=text, url=url)
    for blackout in site.blackouts.all():
        if blackout.holds_on(booking.day):
            text = f"{site} cannot be had that day: {blackout.reason}."
            return Condition(title="Site", verdict=NOT_MET, text=text, url=url)
    room = room_for(job, site)
    return Condition(title="Site", verdict=room.verdict, text=room.text, url=url)


def _driver(job, booking, url):
    against = " ".join(drivers.objections(booking.driver, job=job, day=booking.day))
    if against:
        return Condition(title="Driver", verdict=NOT_MET, text=against, url=url)
    until = booking.driver.evidence_valid_to
    text = f"{booking.driver}: not the owner; evidence of skill holds until {until.day} {until:%b %Y}."
    return Condition(title="Driver", verdict=MET, text=text, url=url)


def _drivers_mass(booking, url):
    mass_kg = booking.driver.mass_kg
    if mass_kg is None:
        text = f"Weigh {booking.driver} dressed for the test: both test masses depend on it."
        return Condition(title="Driver's mass", verdict=UNKNOWN, text=text, url=url)
    return Condition(title="Driver's mass", verdict=MET, text=f"{mass_kg:g} kg, dressed for the test.", url=url)


def _instruments(booking):
    """Nothing in a workshop that keeps no instruments here; go or no-go asks for them all the same."""
    booked = list(booking.instruments.all())
    if not booked and not Instrument.objects.exists():
        return None
    verdict, text = gear.instruments(booked, booking.day)
    url = reverse("testing:schedule", args=[booking.job.number])
    return Condition(title="Instruments", verdict=verdict, text=text, url=url)


def _cover(job, day):
    """One cover has to hold on the day for the whole market value; two halves do not make one."""
    title, url = "Insurance cover", reverse("testing:cover", args=[job.number])
    covers = list(job.covers.all())
    if not covers:
        return Condition(title=title, verdict=NOT_MET, text="No cover is recorded.", url=url)
    if day is None:
        return Condition(title=title, verdict=UNKNOWN, text="Whether it holds is known once a day is booked.", url=url)
    holding = [cover for cover in covers if cover.valid_from <= day <= cover.valid_to]
    if not holding:
        text = f"No cover is valid on {day.day} {day:%b %Y}."
        return Condition(title=title, verdict=NOT_MET, text=text, url=url)
    best = max(holding, key=lambda cover: cover.sum_aud)
    value = job.vehicle.market_value_aud
    if value is None:
        text = f"{best} covers {best.sum_aud:,.2f} AUD; the market value of the vehicle is not known."
        return Condition(title=title, verdict=UNKNOWN, text=text, url=reverse("jobs:vehicle", args=[job.number]))
    enough = best.sum_aud >= value
    text = (
        f"{best} covers {best.sum_aud:,.2f} AUD until {best.valid_to.day} {best.valid_to:%b %Y}; "
        f"the market value is {value:,.2f} AUD."
    )
    return Condition(title=title, verdict=MET if enough else NOT_MET, text=text, url=url)


def cover_on(job, day):
    """The condition of the cover on a day that is only thought of."""
    return _cover(job, day)


def _daylight(booking):
    """Nothing where it is not known where the site lies: its hours then stand for daylight, as its page says."""
    verdict, text = sky.verdict(booking.site, booking.local_start, booking.local_end)
    if verdict is None:
        return None
    return Condition(title="Daylight", verdict=verdict, text=text, url=reverse("testing:site", args=[booking.site_id]))


def weather_of(job, booking):
    """What the forecast says of every hour of a booking."""
    site, start, end = booking.site, booking.local_start, booking.local_end
    limits = forecast.limits_under(job.jurisdiction)
    rows = forecast.kept_hours(site, start=start, end=end, limits=limits)
    judged = weather.judge(hours=sky.as_hours(rows, site.zone), start=start, end=end, limits=limits)
    url = f"{reverse('testing:forecast', args=[site.pk])}?day={booking.day.isoformat()}"
    touched = {hour.start.astimezone(UTC) for hour in judged.hours}
    used = [row for row in rows if row.starts_at in touched]
    if judged.need == MET:
        strongest = max(row.wind_mps for row in used)
        text = f"Forecast: wind at most {strongest:g} m/s, limit {limits.wind_mps:g} m/s, and dry."
    else:
        text = f"Forecast: {_reasons(judged)}."
        if judged.need == UNKNOWN:
            text += f" Enter wind and rain for every hour of the booking and for {limits.drying_h} h before it."
    if used:
        oldest = min(row.entered_at for row in used)
        stale = " Stale: ask for a newer one." if forecast.is_stale(oldest) else ""
        text += f" Entered {date_format(timezone.localtime(oldest, site.zone), 'j M Y, H:i')}.{stale}"
    return Condition(title="Weather", verdict=judged.need, text=f"{text} {ON_THE_DAY}", url=url)


def _reasons(judged):
    """Each reason once, with the hours it speaks of."""
    hours = {}
    for hour in judged.hours:
        for reason in hour.reasons:
            hours.setdefault(reason, []).append(f"{hour.start:%H:%M}")
    return "; ".join(f"{', '.join(at)} {reason}" for reason, at in hours.items())
