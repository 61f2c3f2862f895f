"""Pricing a job as it stands: the lines that its triage requires, and why low and high lie apart."""

from dataclasses import dataclass
from decimal import Decimal

from jobs.estimates.scope import Scope, scope_of
from jobs.models import PriceBookEdition
from jobs.workshop import prices
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.estimate import Estimate, estimate
from vehicles.calculations.price_book import PriceBook


@dataclass(frozen=True, kw_only=True)
class Priced:
    """What a job costs by one edition of the price book."""

    scope: Scope
    edition: PriceBookEdition
    result: Estimate
    spread: tuple[dict, ...]
    missing: tuple[str, ...]
    warning: str

    @property
    def lines(self):
        """The lines as data, money as text: what a version keeps."""
        return [
            {
                "key": line.key,
                "label": line.label,
                "low": str(line.low),
                "likely": str(line.likely),
                "high": str(line.high),
                "note": line.note,
            }
            for line in self.result.lines
        ]


def price(job, *, retests=0):
    """The job priced today, or None while its records contradict each other or there is no price book."""
    scope, edition = scope_of(job), prices.in_force()
    if scope is None or edition is None:
        return None
    ask = _asked(job, scope, PriceBook.from_data(edition.data))
    try:
        result = ask(retests=retests)
        spread = tuple(_spread(ask, result, scope, retests))
    except CalculationError:
        return None
    return Priced(
        scope=scope,
        edition=edition,
        result=result,
        spread=spread,
        missing=_missing(job, scope),
        warning=prices.out_of_date(edition),
    )


def _asked(job, scope, book):
    value = job.vehicle.market_value_aud

    def ask(*, bookings=scope.bookings_expected, retests=0):
        return estimate(
            prices=book,
            needs_lane_change=scope.needs_lane_change,
            needs_driving_report=scope.needs_driving_report,
            market_value_aud=None if value is None else float(value),
            bookings_expected=bookings,
            retests=retests,
        )

    return ask


def _spread(ask, result, scope, retests):
    """Where the distance between low and high comes from. The first two add up to it; a retest comes on top."""
    once = ask(bookings=1, retests=retests)
    yield _cause(
        "Prices",
        "Hire, wages and insurance as they turn out, with the first booking kept.",
        once.low_aud,
        once.high_aud,
    )
    if not (scope.needs_lane_change or scope.needs_driving_report):
        return
    yield _cause(
        "Weather",
        "Wind or rain can call a morning off; part of hire, wages and travel is paid again.",
        result.likely_aud - once.likely_aud,
        result.high_aud - once.high_aud,
    )
    again = ask(retests=retests + 1)
    yield _cause(
        "Retest",
        "Only if the vehicle does not pass: not in the totals. You would be asked first.",
        again.low_aud - result.low_aud,
        again.high_aud - result.high_aud,
    )


def _cause(name, text, low: Decimal, high: Decimal):
    return {"cause": name, "text": text, "low": str(low), "high": str(high)}


def _missing(job, scope):
    missing = []
    if job.vehicle.market_value_aud is None and (scope.needs_lane_change or scope.needs_driving_report):
        missing.append("Insurance for the test is not in the totals: the market value of the vehicle is not known.")
    if not scope.signed:
        missing.append("The engineer has not signed yet which tests are needed; that can still change the totals.")
    return tuple(missing)
