"""How a number came about: its formula, what went in, what came out and who says so."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, kw_only=True)
class Reason:
    """A sentence that carries its numbers, and where the rule behind it comes from."""

    text: str
    source: str


@dataclass(frozen=True, kw_only=True)
class Working:
    """One computed quantity, laid open so that it can be checked by hand.

    ``inputs`` maps each symbol of the formula to its value with unit, as text; ``value`` is
    None when the quantity is undecided.
    """

    quantity: str
    formula: str
    inputs: Mapping[str, str] = field(default_factory=dict)
    value: float | None = None
    unit: str = ""
    source: str = ""
