"""What a search for a morning gives: proposals with their reasons, and what fell out."""

from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime

from testing import workings
from testing.scheduling.packing import later


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """One morning at one site at which everything holds."""

    site: object
    start: datetime
    end: datetime
    order: object
    drivers: dict
    instruments: tuple
    chance: object
    to_do: tuple[str, ...]
    reasons: tuple[str, ...]

    @property
    def rank(self):
        """Likeliest first, to the nearest 5 %; then the earlier, then the cheaper, then by name."""
        price = self.site.hire_aud
        unlikely = 101 if self.chance.percent is None else -self.chance.percent
        return (unlikely, self.start, price is None, price or 0, self.site.name)

    @property
    def workings(self):
        """How the chance came about, for the screen."""
        return workings.shown([self.chance.working] if self.chance.working else [])

    @property
    def timed(self):
        return self.order.timed(self.start)


@dataclass(kw_only=True)
class Found:
    """Proposals from the best, why jobs are not ready, and why sites and days fall out."""

    proposals: list = field(default_factory=list)
    not_ready: list = field(default_factory=list)
    against_sites: list = field(default_factory=list)
    against_days: Counter = field(default_factory=Counter)
    order: object = None


def proposal(*, site, start, order, people, instruments, likely, to_do, rooms):
    """A morning with the reasons why it ranks as it does."""
    end = later(start, order.minutes)
    names = ", ".join(dict.fromkeys(str(person) for person in people.values()))
    percent = f"{likely.percent} %" if likely.percent is not None else "not known"
    every = " them all" if len(order.parts) > 1 else ""
    reasons = [
        f"Chance {percent}: {likely.text}.",
        f"Driver: {names}, free and allowed to drive{every}.",
    ]
    reasons += dict.fromkeys(f"{room.ways.removesuffix('.')} at {site}." for room in rooms if room.ways)
    if instruments:
        reasons.append("Instruments in calibration and free: " + "; ".join(map(str, instruments)) + ".")
    if site.hire_aud is not None:
        shared = f", {site.hire_aud / len(order.parts):,.2f} AUD a vehicle" if len(order.parts) > 1 else ""
        reasons.append(f"Hire {site.hire_aud:,.2f} AUD{shared}.")
    return Proposal(
        site=site,
        start=start,
        end=end,
        order=order,
        drivers=people,
        instruments=tuple(instruments),
        chance=likely,
        to_do=tuple(to_do),
        reasons=tuple(reasons),
    )
