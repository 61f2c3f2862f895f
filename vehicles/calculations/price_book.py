"""The price book: what a workshop charges for, as data with an edition and a validity."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from .errors import CaseError, Problem

NEEDS = ("always", "lane_change", "driving_report")
PRICES = ("low", "likely", "high")
KEYS = {"edition", "valid_from", "valid_to", "source", "checked_by"}
KEYS |= {"bookings_expected", "lines", "insurance", "retest"}
LINE_KEYS = {"key", "label", "for", "again", "note", "minimum_aud"}
LINE_KEYS |= {f"{price}_aud" for price in PRICES} | {f"share_{price}" for price in PRICES}


@dataclass(frozen=True, kw_only=True)
class PriceLine:
    """One line, GST included. ``again`` is the share paid again for every called-off booking.

    Prices are AUD, or for the insurance the share of the market value.
    """

    key: str
    label: str
    needed_for: tuple[str, ...]
    low: Decimal
    likely: Decimal
    high: Decimal
    again: Decimal
    note: str


@dataclass(frozen=True, kw_only=True)
class PriceBook:
    """An edition of the price book; ``retest_share`` is of all lines that a test day costs."""

    edition: str
    valid_from: date
    valid_to: date
    source: str
    checked_by: str | None
    bookings_expected: Decimal
    lines: tuple[PriceLine, ...]
    insurance: PriceLine
    insurance_minimum_aud: Decimal
    retest_label: str
    retest_share: Decimal

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> "PriceBook":
        """Read a price book from plain data, as in fixtures/price_book.json.

        Parameters: mapping of text, lists and numbers; money as text in AUD with GST included.
        Returns: PriceBook. Raises CaseError with every problem at once: path, what is wrong,
        what is allowed. Source: our own format.
        """
        reader = _Reader()
        book = reader.book(reader.mapping({"price book": data}, "price book"))
        if reader.problems:
            raise CaseError(tuple(reader.problems))
        return book


class _Reader:
    """Reads on after a problem, so that every problem is reported in one go."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def book(self, data: Mapping[str, Any]) -> PriceBook:
        self.only(data, KEYS, "")
        insurance = self.mapping(data, "insurance")
        retest = self.mapping(data, "retest")
        lines = data.get("lines")
        if not isinstance(lines, list) or not lines:
            self.problem("lines", "must be a list with at least one line")
            lines = []
        book = PriceBook(
            edition=self.text(data, "edition"),
            valid_from=self.day(data, "valid_from"),
            valid_to=self.day(data, "valid_to"),
            source=self.text(data, "source"),
            checked_by=None if data.get("checked_by") is None else self.text(data, "checked_by"),
            bookings_expected=self.number(data, "bookings_expected", low=1, high=20),
            lines=tuple(self.line(row, f"lines[{n}].") for n, row in enumerate(lines)),
            insurance=self.line(insurance, "insurance.", unit="share", high=1),
            insurance_minimum_aud=self.number(insurance, "minimum_aud", path="insurance."),
            retest_label=self.text(retest, "label", path="retest."),
            retest_share=self.number(retest, "share", path="retest.", high=1),
        )
        if book.valid_to < book.valid_from:
            self.problem("valid_to", f"{book.valid_to} is before valid_from, {book.valid_from}")
        keys = [line.key for line in (*book.lines, book.insurance)]
        for key in sorted({key for key in keys if keys.count(key) > 1}):
            self.problem("lines", f"key {key!r} stands twice; each line has its own key")
        return book

    def line(self, row: Any, path: str, *, unit: str = "aud", high: float = 1e6) -> PriceLine:
        if not isinstance(row, Mapping):
            self.problem(path.rstrip("."), "must be an object with key, label, for and prices")
            row = {}
        self.only(row, LINE_KEYS, path)
        names = [f"{p}_{unit}" if unit == "aud" else f"{unit}_{p}" for p in PRICES]
        prices = [self.number(row, name, path=path, high=high) for name in names]
        if prices != sorted(prices):
            self.problem(path + names[0], "low, likely and high must not fall")
        return PriceLine(
            key=self.text(row, "key", path=path),
            label=self.text(row, "label", path=path),
            needed_for=self.needs(row, path),
            low=prices[0],
            likely=prices[1],
            high=prices[2],
            again=self.number(row, "again", path=path, high=1),
            note=str(row.get("note", "")),
        )

    def needs(self, row: Mapping[str, Any], path: str) -> tuple[str, ...]:
        needs = row.get("for")
        if not isinstance(needs, list) or not needs or not all(need in NEEDS for need in needs):
            self.problem(path + "for", f"must be a list of {', '.join(NEEDS)}")
            return ()
        return tuple(needs)

    def only(self, data: Mapping[str, Any], keys: set[str], path: str) -> None:
        """An unknown key is usually a typing mistake, and its price would be lost unseen."""
        for key in sorted(set(map(str, data)) - keys):
            self.problem(path + key, f"unknown key; known are {', '.join(sorted(keys))}")

    def problem(self, path: str, message: str) -> None:
        self.problems.append(Problem(path=path, message=message))

    def mapping(self, data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
        value = data.get(name)
        if isinstance(value, Mapping):
            return value
        self.problem(name, "must be an object")
        return {}

    def text(self, data: Mapping[str, Any], name: str, *, path: str = "") -> str:
        value = data.get(name)
        if isinstance(value, str) and value.strip():
            return value
        self.problem(path + name, "must be text, not empty")
        return ""

    def day(self, data: Mapping[str, Any], name: str) -> date:
        try:
            return date.fromisoformat(str(data.get(name)))
        except ValueError:
            self.problem(name, f"{data.get(name)!r} is not a date like 2026-07-01")
            return date.min

    def number(
        self, data: Mapping[str, Any], name: str, *, path: str = "", low: float = 0, high: float = 1e6
    ) -> Decimal:
        try:
            value = Decimal(str(data.get(name)))
        except InvalidOperation:
            value = Decimal("NaN")
        if value.is_finite() and low <= value <= high:
            return value
        self.problem(path + name, f"{data.get(name)!r} is not a number from {low:g} to {high:g}")
        return Decimal(0)
