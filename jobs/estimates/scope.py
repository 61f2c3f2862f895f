"""What an estimate is for. The app that triages says it; this app only prices it."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Scope:
    """The tests a job needs, and where that is known from.

    ``bookings_expected`` from now on, None takes the price book's; ``postponed`` mornings called off and paid
    again so far; ``retests`` further test days that are decided; ``driven`` test days that are over.
    """

    needs_lane_change: bool
    needs_driving_report: bool
    basis: str
    signed: bool
    bookings_expected: float | None = None
    postponed: int = 0
    retests: int = 0
    driven: int = 0


_sources = []


def register(source):
    """`source(job)` gives the Scope of the job, or None while its records contradict each other."""
    _sources.append(source)


def scope_of(job):
    found = (source(job) for source in _sources)
    return next((scope for scope in found if scope), None)
