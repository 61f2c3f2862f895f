"""What the calculation module raises, and how a problem is put into words."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One thing that is wrong with an input: where, what, and what would be allowed."""

    path: str
    message: str

    def __str__(self) -> str:
        return f"{self.path}: {self.message}"


class CalculationError(ValueError):
    """A quantity is outside the range in which the calculation holds.

    >>> raise CalculationError(quantity="overall_width_mm", value=40, allowed="1000 to 2600 mm")
    Traceback (most recent call last):
        ...
    vehicles.calculations.errors.CalculationError: overall_width_mm: 40 is outside 1000 to 2600 mm
    """

    def __init__(self, *, quantity: str, value: object, allowed: str) -> None:
        self.quantity = quantity
        self.value = value
        self.allowed = allowed
        super().__init__(f"{quantity}: {value} is outside {allowed}")


class CaseError(ValueError):
    """A case cannot be used. Carries every problem, not only the first."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("\n".join(map(str, problems)))
