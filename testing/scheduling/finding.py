"""Finding the morning: where, when and with whom everything holds for a job, or for several on one day."""

from datetime import UTC, datetime, time, timedelta

from django.db.models import prefetch_related_objects
from django.utils import timezone

from jobs.owners import mornings
from testing.models import BallastStock, CrewMember, Instrument, Site
from testing.scheduling import climate, drivers, forecast, gear, sky
from testing.scheduling.chance import chance
from testing.scheduling.conditions import cover_on
from testing.scheduling.free import Free
from testing.scheduling.packing import Entry, later, pack
from testing.scheduling.proposals import Found, proposal
from testing.scheduling.room import asked_by, room_of
from testing.triage import decision
from vehicles.calculations import weather
from vehicles.calculations.verdict import MET, NOT_MET
from vehicles.wording import in_a_sentence

HALF_HOUR, HOUR, DAY = timedelta(minutes=30), timedelta(hours=1), timedelta(days=1)
STAGES = ("scheduling", "testday")


def readiness(job):
    """Why no morning can be looked for yet, one sentence each."""
    if job.stage not in STAGES:
        yield f"{job.number} is not at the step where a day is booked: the signed triage comes first."
    elif decision.signed(job) is not None and decision.is_stale(job):
        yield f"{job.number}: facts or rules changed since its triage was signed; sign it again first."
    if why_not := asked_by(job).why_not:
        yield f"{job.number}: {why_not}"


def find(jobs, *, first_day, days, sites=None, starts=None, now=None):
    """Ranked proposals for these jobs on one day at one site; ``starts`` leaves only these moments."""
    now = now or timezone.now()
    return _Search(jobs, first_day=first_day, days=days, sites=sites, starts=starts, now=now).found


class _Search:
    """One search: what is asked of the database once, then every site and day against it."""

    def __init__(self, jobs, *, first_day, days, sites, starts, now):
        self.jobs, self.now, self.first_day, self.days, self.only = jobs, now, first_day, days, starts
        self.found = Found(not_ready=[reason for job in jobs for reason in readiness(job)])
        if self.found.not_ready or not jobs:
            return
        prefetch_related_objects(jobs, "covers")
        self.entries = [Entry(job=job, asked=asked_by(job)) for job in jobs]
        self.found.order = self.order = pack(self.entries)
        self.limits = min((forecast.limits_under(job.jurisdiction) for job in jobs), key=lambda one: one.wind_mps)
        self.sites = list((Site.objects.all() if sites is None else sites).prefetch_related("blackouts"))
        self.people = list(CrewMember.objects.filter(drives=True).select_related("user").prefetch_related("barred"))
        self.kept = list(Instrument.objects.all())
        self.not_for_owner = {job.number: mornings.unsuitable(job) for job in jobs}
        start = datetime.combine(first_day, time(0), tzinfo=UTC) - DAY
        self.free = Free(start=start, end=start + (days + 3) * DAY, but_for=jobs)
        self.past = climate.counted(self.order.hours, self.sites)
        self.ballast = gear.ballast(max(e.ballast_kg or 0 for e in self.entries), list(BallastStock.objects.all()))
        self.hours = forecast.kept_hours_of(self.sites, first_day=first_day, days=days + 1, limits=self.limits)
        for site in self.sites:
            self._look_at(site)
        self.found.proposals.sort(key=lambda one: one.rank)

    def _look_at(self, site):
        rooms = [room_of(entry.asked, site) for entry in self.entries]
        for entry, room in zip(self.entries, rooms, strict=True):
            if room.verdict == NOT_MET:
                self.found.against_sites.append(f"{site}, {entry.job.number}: {room.text}")
        if any(room.verdict == NOT_MET for room in rooms):
            return
        judged, rows = self._weather_at(site)
        for number in range(self.days):
            day = self.first_day + number * DAY
            made, why_not = self._on(site, day, judged, rows, rooms)
            if made:
                self.found.proposals.append(made)
            else:
                self.found.against_days[why_not] += 1

    def _weather_at(self, site):
        rows = self.hours[site.pk]
        hours = sky.as_hours(rows, site.zone)
        judged = weather.judge_hours(hours=hours, limits=self.limits)
        return {one.start.astimezone(UTC): one for one in judged}, {row.starts_at: row for row in rows}

    def _on(self, site, day, judged, rows, rooms):
        """The best start of that day at that site, or why there is none."""
        if black := next((one for one in site.blackouts.all() if one.holds_on(day)), None):
            return None, f"{site} cannot be had: {black.reason}"
        if number := next((number for number, days in self.not_for_owner.items() if day in days), None):
            return None, f"the owner of {number} said no to that day"
        uncovered = [self._uncovered(job, day) for job in self.jobs]
        if any(why for why, _ in uncovered):
            return None, next(why for why, _ in uncovered if why)
        best, why_not = None, "longer than the site is open and light"
        for start in self._starts(site, day):
            drawn, why_not = self._at(site, start, judged, rows)
            if drawn and (best is None or drawn[0] > best[0]):
                best = drawn
        if best is None:
            return None, why_not
        _, start, people, instruments, likely = best
        to_do = [text for _, text in uncovered if text]
        to_do += [room.text for room in rooms if room.verdict != MET]
        to_do += [self.ballast[1]] if self.ballast[0] != MET else []
        to_do += self._gear_to_do(instruments)
        made = proposal(
            site=site,
            start=start,
            order=self.order,
            people=people,
            instruments=instruments,
            likely=likely,
            to_do=to_do,
            rooms=rooms,
        )
        return made, ""

    def _starts(self, site, day):
        """Every half hour at which the whole hire lies within opening hours and daylight."""
        start = datetime.combine(day, site.opens, tzinfo=site.zone).astimezone(UTC)
        last = datetime.combine(day, site.closes, tzinfo=site.zone).astimezone(UTC)
        if sun := sky.light(site, day):
            start, last = max(start, sun[0].astimezone(UTC)), min(last, sun[1].astimezone(UTC))
        start += -(start - datetime.combine(day, time(0), tzinfo=UTC)) % HALF_HOUR
        while start + timedelta(minutes=self.order.minutes) <= last:
            if start > self.now and (self.only is None or start in self.only):
                yield start.astimezone(site.zone)
            start += HALF_HOUR

    def _at(self, site, start, judged, rows):
        """(order of preference, start, drivers, instruments, chance) of one start, or why it falls out."""
        end = later(start, self.order.minutes)
        if not self.free.site(site, start, end):
            return None, f"{site} is booked"
        if not all(self.free.vehicle(job.vehicle, start, end) for job in self.jobs):
            return None, "a vehicle is booked elsewhere"
        touched = list(_hours(start, end, phase=next(iter(rows), None)))
        known = [judged[at] for at in touched if at in judged]
        if any(one.need == NOT_MET for one in known):
            return None, "the forecast speaks against it"
        people, why_not = self._drivers(start)
        if people is None:
            return None, why_not
        busy = {one.pk for one in self.kept if not self.free.instrument(one, start, end)}
        instruments, missing = gear.choose(start.date(), busy, among=self.kept)
        if missing:
            return None, f"no {', '.join(missing).replace('_', ' ')} in date and free"
        covered = len(known) == len(touched) and all(one.need == MET for one in known)
        strongest = max(rows[at].wind_mps for at in touched) if covered else None
        likely = chance(
            strongest_mps=strongest,
            limit_mps=self.limits.wind_mps,
            days_ahead=max(0, (start.date() - timezone.localdate(self.now, site.zone)).days),
            past=climate.chance(self.past.get(site.pk), start),
        )
        liking = (-1 if likely.value is None else likely.value, -start.timestamp())
        return (liking, start, people, instruments, likely), ""

    def _drivers(self, start):
        """A driver for each job: one for the whole day where somebody may drive them all."""
        parts = {
            part.entry.job.pk: (later(start, part.from_min), later(start, part.to_min)) for part in self.order.parts
        }
        may = {}
        for job in self.jobs:
            may[job.pk] = [
                person
                for person in self.people
                if not any(drivers.objections(person, job=job, day=start.date()))
                and self.free.person(person, *parts[job.pk])
            ]
            if not may[job.pk]:
                return None, f"nobody who may drive {job.number} is free"
        for person in may[self.jobs[0].pk]:
            if all(person in people for people in may.values()):
                return dict.fromkeys(may, person), ""
        return {pk: people[0] for pk, people in may.items()}, ""

    def _uncovered(self, job, day):
        """(why the day falls out, what is left to do): a cover that is not arranged yet can be arranged."""
        cover = cover_on(job, day)
        if cover.met:
            return "", ""
        if not job.covers.all():
            return "", f"{job.number}: arrange insurance cover for the day."
        if cover.verdict == NOT_MET:
            return f"the cover of {job.number} does not hold", ""
        return "", f"{job.number}: {cover.text}"

    def _gear_to_do(self, instruments):
        labels = dict(Instrument.Kind.choices)
        have = {one.kind for one in instruments}
        lacking = [in_a_sentence(labels[kind]) for kind in gear.needed_kinds() if kind not in have]
        return [f"No {' and no '.join(lacking)} is on the books: bring one in calibration."] if lacking else []


def _hours(start, end, *, phase):
    """Starts of the hours that a span touches, counted as the record counts them."""
    at, end = start.astimezone(UTC), end.astimezone(UTC)
    at -= (at - (phase or start.replace(minute=0))) % HOUR
    while at < end:
        yield at
        at += HOUR
