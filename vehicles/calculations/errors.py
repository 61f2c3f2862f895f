"""What the calculation module raises, and how a problem is put into words."""

from dataclasses import dataclass

SHOWN = 60


def shown(value: object) -> str:
    """A value as a message quotes it: on one line, and short whatever was typed.

    Parameters: anything [-]. Returns: text of at most 61 characters and its quotes.

    >>> shown(2950), shown("2 parsec"), shown("x" * 500)[-12:]
    ('2950', "'2 parsec'", 'xxxxxxxxxxx…')

    Source: our own rule.
    """
    if isinstance(value, int) and abs(value) >= 10**SHOWN:
        return "a number of more than 60 digits"
    return _clipped(repr(value))


def _clipped(text: str) -> str:
    """A text no longer than a message can carry."""
    return text if len(text) <= SHOWN else text[:SHOWN] + "…"


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One thing that is wrong with an input: where, what, and what would be allowed."""

    path: str
    message: str

    def __str__(self) -> str:
        return f"{self.path}: {self.message}"


class CalculationError(ValueError):
    """A quantity is outside the range in which the calculation holds.

    >>> raise CalculationError(quantity="overall_width_mm", value=40, allowed="1,000 to 2,600 mm")
    Traceback (most recent call last):
        ...
    vehicles.calculations.errors.CalculationError: overall_width_mm: 40 is outside 1,000 to 2,600 mm
    """

    wrong = "is outside"

    def __init__(self, *, quantity: str, value: object, allowed: str) -> None:
        self.quantity = quantity
        self.value = value
        self.allowed = allowed
        super().__init__(f"{quantity}: {self.detail}")

    @property
    def detail(self) -> str:
        """The message without the name of the quantity, for where the name stands beside it."""
        return f"{_clipped(str(self.value))} {self.wrong} {self.allowed}"


class UnreadableError(CalculationError):
    """A text cannot be read as the quantity it stands for; says what could be.

    >>> raise UnreadableError(quantity="gvm_kg", value="heavy", allowed="kg, g, t, lb")
    Traceback (most recent call last):
        ...
    vehicles.calculations.errors.UnreadableError: gvm_kg: 'heavy' cannot be read; allowed: kg, g, t, lb
    """

    wrong = "cannot be read; allowed:"

    def __init__(self, *, quantity: str, value: str, allowed: str) -> None:
        super().__init__(quantity=quantity, value=shown(value), allowed=allowed)


class CaseError(ValueError):
    """A case cannot be used. Carries every problem, not only the first."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("\n".join(map(str, problems)))


class RuleDataError(CaseError):
    """An edition of rules cannot be used. Carries every problem of its data."""
