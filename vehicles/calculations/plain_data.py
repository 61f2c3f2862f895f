"""Plain data for JSON: dictionaries, lists, text, numbers and null."""

from collections.abc import Mapping
from dataclasses import asdict
from decimal import Decimal
from typing import Any

DECIMALS = 6


def clean(value: Any) -> Any:
    """Plain data without float dust: numbers to six decimals, money as numbers, tuples as lists.

    Parameters: dictionaries, lists, numbers and text, in any unit [-]. Returns: the same,
    plain.

    >>> clean({"fuel": 36.540000000000006, "aud": Decimal("2150.00"), "ladder": (80, 90)})
    {'fuel': 36.54, 'aud': 2150.0, 'ladder': [80, 90]}

    Source: our own format.
    """
    if isinstance(value, Mapping):
        return {key: clean(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [clean(item) for item in value]
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, float):
        return round(value, DECIMALS) + 0.0  # turns −0.0 into 0.0
    return value


def without(item: Any, *names: str) -> dict[str, Any]:
    """The fields of a dataclass, but for these.

    Parameters: a dataclass; names to leave out. Returns: the rest, each in its own unit [-].

    >>> from .explain import Reason
    >>> without(Reason(text="Raised by 50 mm", source="VSB 14"), "source")
    {'text': 'Raised by 50 mm'}

    Source: our own format.
    """
    return {name: value for name, value in asdict(item).items() if name not in names}
