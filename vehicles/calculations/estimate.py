"""What the job will cost: the price book's lines, postponements by weather, and the GST inside."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from .explain import Working
from .price_book import PriceBook, PriceLine
from .ranges import VEHICLE, Range

CENT = Decimal("0.01")
GST_PARTS = 11
BOOKINGS = Range(name="bookings_expected", label="Bookings until the test is driven", low=1, high=20, unit="")
POSTPONED = Range(
    name="postponed", label="Mornings called off so far and paid again", low=0, high=100, unit="", whole=True
)
RETESTS = Range(name="retests", label="Retests", low=0, high=10, unit="", whole=True)
DRIVEN = Range(name="driven", label="Test days that are over", low=0, high=100, unit="", whole=True)
SOURCE = "price book; GST is one eleventh of an inclusive price"

__all__ = ["Estimate", "Line", "PriceBook", "estimate"]


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the estimate, AUD with GST included, in whole cents.

    ``again`` is the share of it that is paid again for every called-off morning.
    """

    key: str
    label: str
    low: Decimal
    likely: Decimal
    high: Decimal
    again: Decimal = Decimal(0)
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class _Mornings:
    """How many mornings are paid again, as far as they have been, are expected, and may be."""

    low: Decimal
    likely: Decimal
    high: Decimal


NONE = _Mornings(low=Decimal(0), likely=Decimal(0), high=Decimal(0))


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """Totals with GST included; ``gst_aud`` is the GST inside the likely total."""

    low_aud: Decimal
    likely_aud: Decimal
    high_aud: Decimal
    lines: tuple[Line, ...]
    gst_aud: Decimal
    edition: str
    undecided: tuple[str, ...]
    workings: tuple[Working, ...]


def estimate(
    *,
    prices: PriceBook,
    needs_lane_change: bool,
    needs_driving_report: bool = False,
    market_value_aud: float | None = None,
    bookings_expected: float | None = None,
    postponed: int = 0,
    weather: bool = True,
    retests: int = 0,
    driven: int = 0,
) -> Estimate:
    """Sum of the lines that the job needs: price × (1 + share paid again × mornings called off).

    Parameters
    ----------
    prices : the edition of the price book
    needs_lane_change, needs_driving_report : what triage asks for [-]
    market_value_aud : value the vehicle is insured for, None if not known [AUD]
    bookings_expected : bookings from now on until the weather lets the test happen, as the
        climatology of the site gives it; None takes the price book's [-]
    postponed : mornings called off so far for which the share was paid again [-]
    weather : False leaves out what the weather may still cost, as if the next booking were kept
    retests : further test days after a failed one [-]
    driven : test days that are over, the first and retests alike: no weather calls them off any more [-]

    Returns
    -------
    Estimate [AUD, GST included, whole cents]. Every total holds what was paid again so far. From
    now on the low one is with the next booking kept, the likely one with the postponements
    expected, the high one with twice as many, and with one whole morning at the least: a called-off
    morning is paid whole, however rarely it happens.

    Raises
    ------
    CalculationError : market value outside 0 to 5,000,000 AUD, bookings outside 1 to 20,
        postponed outside 0 to 100, retests outside 0 to 10, driven outside 0 to 100.

    Notes
    -----
    Each line is rounded to the cent, half up, and the totals are the sums of the rounded lines.
    Without a market value the insurance is left out of the totals and named in ``undecided``.
    A retest is a share of one further test day; what was paid again before it is no part of that day.

    Example
    -------
    >>> from dataclasses import replace
    >>> from datetime import date
    >>> nothing = PriceLine(key="insurance", label="Insurance", needed_for=("lane_change",), low=Decimal("0.005"),
    ...     likely=Decimal("0.006"), high=Decimal("0.008"), again=Decimal(0), note="")
    >>> hire = replace(nothing, key="track", label="Track hire", low=Decimal(400), likely=Decimal(500),
    ...     high=Decimal(600), again=Decimal("0.5"))
    >>> book = PriceBook(edition="example", source="", checked_by=None, valid_from=date(2026, 7, 1),
    ...     valid_to=date(2027, 6, 30), bookings_expected=Decimal(2), lines=(hire,), insurance=nothing,
    ...     insurance_minimum_aud=Decimal(0), retest_share=Decimal("0.7"), retest_label="Retest")
    >>> found = estimate(prices=book, needs_lane_change=True, market_value_aud=50_000)
    >>> found.low_aud, found.likely_aud, found.high_aud, found.gst_aud
    (Decimal('650.00'), Decimal('1050.00'), Decimal('1600.00'), Decimal('95.45'))

    Source: common practice, no published source; GST = inclusive price / 11.
    """
    RETESTS.check(retests)
    DRIVEN.check(driven)
    POSTPONED.check(postponed)
    if market_value_aud is not None:
        VEHICLE["market_value_aud"].check(market_value_aud)
    bookings = prices.bookings_expected
    if bookings_expected is not None:
        bookings = Decimal(str(BOOKINGS.check(bookings_expected)))
    needs = {"always"}
    needs |= {"lane_change"} if needs_lane_change else set()
    needs |= {"driving_report"} if needs_driving_report else set()
    chosen = tuple(_chosen(prices=prices, needs=needs, market_value_aud=market_value_aud))
    ahead = _ahead(bookings - 1) if weather else NONE
    lines = tuple(_priced(line, NONE if driven else ahead, past=postponed) for line in chosen)
    if retests:
        each = [ahead if number > driven else NONE for number in range(2, 2 + retests)]
        lines += (_retest(prices, [line for line in chosen if "always" not in line.needed_for], each),)
    likely = sum((line.likely for line in lines), Decimal(0))
    insured = bool(needs & set(prices.insurance.needed_for))
    return Estimate(
        low_aud=sum((line.low for line in lines), Decimal(0)),
        likely_aud=likely,
        high_aud=sum((line.high for line in lines), Decimal(0)),
        lines=lines,
        gst_aud=_cents(likely / GST_PARTS),
        edition=prices.edition,
        undecided=("market_value_aud: needed for the insurance, which is not in the totals",)
        if insured and market_value_aud is None
        else (),
        workings=(
            Working(
                quantity="GST in the likely total",
                formula="total / 11",
                inputs={"total": f"{likely} AUD"},
                value=float(_cents(likely / GST_PARTS)),
                unit="AUD",
                source=SOURCE,
            ),
        ),
    )


def _chosen(*, prices: PriceBook, needs: set[str], market_value_aud: float | None) -> Iterator[PriceLine]:
    yield from (line for line in prices.lines if needs & set(line.needed_for))
    rate = prices.insurance
    if market_value_aud is None or not needs & set(rate.needed_for):
        return
    value = Decimal(str(market_value_aud))
    premiums = [max(share * value, prices.insurance_minimum_aud) for share in (rate.low, rate.likely, rate.high)]
    yield PriceLine(
        key=rate.key,
        label=rate.label,
        needed_for=rate.needed_for,
        low=premiums[0],
        likely=premiums[1],
        high=premiums[2],
        again=rate.again,
        note=rate.note,
    )


def _ahead(expected: Decimal) -> _Mornings:
    return _Mornings(low=Decimal(0), likely=expected, high=max(2 * expected, Decimal(1)))


def _priced(line: PriceLine, ahead: _Mornings, *, past: int) -> Line:
    return Line(
        key=line.key,
        label=line.label,
        low=_cents(line.low * (1 + line.again * (past + ahead.low))),
        likely=_cents(line.likely * (1 + line.again * (past + ahead.likely))),
        high=_cents(line.high * (1 + line.again * (past + ahead.high))),
        again=line.again,
        note=line.note,
    )


def _retest(prices: PriceBook, day: list[PriceLine], each: list[_Mornings]) -> Line:
    """The share of a test day for each further one, with the mornings that it may still lose."""
    days = "one further test day, at" if len(each) == 1 else f"{len(each)} further test days, each at"
    lines = [_priced(line, ahead, past=0) for ahead in each for line in day]
    return Line(
        key="retest",
        label=prices.retest_label,
        low=_cents(prices.retest_share * sum((line.low for line in lines), Decimal(0))),
        likely=_cents(prices.retest_share * sum((line.likely for line in lines), Decimal(0))),
        high=_cents(prices.retest_share * sum((line.high for line in lines), Decimal(0))),
        note=f"{days} {(prices.retest_share * 100).normalize():f} % of what a test day costs",
    )


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)
