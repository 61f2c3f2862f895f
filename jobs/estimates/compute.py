"""Pricing a job as it stands: the lines that its triage requires, and why low and high lie apart."""

from dataclasses import dataclass
from decimal import Decimal

from jobs.estimates.scope import Scope, scope_of
from jobs.models import PriceBookEdition
from jobs.workshop import prices
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.estimate import RETESTS, Estimate, estimate
from vehicles.calculations.price_book import PriceBook

RETEST = "retest"


@dataclass(frozen=True, kw_only=True)
class Priced:
    """What a job costs by one edition of the price book."""

    scope: Scope
    edition: PriceBookEdition
    retests: int
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
                "again": str(line.again),
                "note": line.note,
                **({"times": self.retests} if line.key == RETEST else {}),
            }
            for line in self.result.lines
        ]


def price(job, *, retests=None, edition=None):
    """The job priced, or None while its records contradict each other or there is no price book.

    ``retests`` None takes those that are decided; ``edition`` None takes the price book of today.
    """
    scope, edition = scope_of(job), edition or prices.in_force()
    if scope is None or edition is None:
        return None
    retests = scope.retests if retests is None else retests
    ask = _asked(job, scope, PriceBook.from_data(edition.data))
    try:
        result = ask(retests=retests)
        spread = tuple(_spread(ask, result, scope, retests))
    except CalculationError:
        return None
    return Priced(
        scope=scope,
        edition=edition,
        retests=retests,
        result=result,
        spread=spread,
        missing=_missing(job, scope),
        warning=prices.out_of_date(edition),
    )


def _asked(job, scope, book):
    value = job.vehicle.market_value_aud

    def ask(*, retests, postponed=scope.postponed, weather=True):
        return estimate(
            prices=book,
            needs_lane_change=scope.needs_lane_change,
            needs_driving_report=scope.needs_driving_report,
            market_value_aud=None if value is None else float(value),
            bookings_expected=scope.bookings_expected,
            postponed=postponed,
            weather=weather,
            retests=retests,
            driven=scope.driven,
        )

    return ask


def _spread(ask, result, scope, retests):
    """Where the distance between low and high comes from. All but a retest, which comes on top, add up to it."""
    once = ask(postponed=0, weather=False, retests=retests)
    yield _cause(
        "Prices",
        "Hire, wages and insurance as they turn out, with the first booking kept.",
        once.low_aud,
        once.high_aud,
    )
    if not (scope.needs_lane_change or scope.needs_driving_report):
        return
    so_far = ask(weather=False, retests=retests)
    if scope.postponed:
        mornings = "One morning was" if scope.postponed == 1 else f"{scope.postponed} mornings were"
        yield _cause(
            "Called off so far",
            f"{mornings} called off: the shares shown in the lines are owed.",
            so_far.low_aud - once.low_aud,
            so_far.high_aud - once.high_aud,
        )
    if scope.driven <= retests:
        yield _cause(
            "Weather",
            "Wind or rain can call a morning off; the shares shown in the lines are paid again.",
            result.low_aud - so_far.low_aud,
            result.high_aud - so_far.high_aud,
            likely=result.likely_aud - so_far.likely_aud,
        )
    if retests < RETESTS.high:
        again = ask(retests=retests + 1)
        yield _cause(
            "Retest",
            f"Only if the vehicle does not pass{' again' if retests else ''}: not in the totals. "
            "You would be asked first.",
            again.low_aud - result.low_aud,
            again.high_aud - result.high_aud,
        )


def _cause(name, text, low: Decimal, high: Decimal, likely: Decimal | None = None):
    said = {"cause": name, "text": text, "low": str(low), "high": str(high)}
    return said if likely is None else {**said, "likely": str(likely)}


def _missing(job, scope):
    missing = []
    if job.vehicle.market_value_aud is None and (scope.needs_lane_change or scope.needs_driving_report):
        missing.append("Insurance for the test is not in the totals: the market value of the vehicle is not known.")
    if not scope.signed:
        missing.append("The engineer has not signed yet which tests are needed; that can still change the totals.")
    return tuple(missing)
