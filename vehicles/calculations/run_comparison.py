"""Two runs on the same course: how far their paths lay apart."""

from collections.abc import Sequence
from dataclasses import dataclass

from .errors import CalculationError


@dataclass(frozen=True, kw_only=True)
class Apart:
    """The greatest distance between two paths, measured across, and where along the course it is."""

    apart_m: float
    at_m: float


def paths_apart(
    *, x_m: Sequence[float], first_y_m: Sequence[float | None], second_y_m: Sequence[float | None]
) -> Apart | None:
    """The greatest distance between two paths that are told at the same places along the course.

    Parameters
    ----------
    x_m : places along the course [m]
    first_y_m, second_y_m : where each path lay across at those places [m]; None where it is not known

    Returns
    -------
    Apart [m]; None when part of either path is not known: the greatest may lie there.

    Raises
    ------
    CalculationError : no places, or not one value of each path for each place.

    Example
    -------
    >>> paths_apart(x_m=(0, 5, 10), first_y_m=(1.2, 1.4, 1.9), second_y_m=(1.3, 1.1, 1.9)).at_m
    5

    Source: differences.
    """
    lengths = {len(x_m), len(first_y_m), len(second_y_m)}
    if len(lengths) > 1 or lengths == {0}:
        said = ", ".join(map(str, sorted(lengths)))
        raise CalculationError(quantity="x_m", value=f"{said} values", allowed="one value of each path for each place")
    distances = []
    for first, second in zip(first_y_m, second_y_m, strict=True):
        if first is None or second is None:
            return None
        distances.append(abs(second - first))
    apart = max(distances)
    return Apart(apart_m=apart, at_m=x_m[distances.index(apart)])
