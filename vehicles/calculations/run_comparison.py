"""Two runs on the same course, side by side."""

from dataclasses import dataclass

from .errors import CalculationError
from .runlog import Analysis, known


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Second run less first: speeds, peak, time by section; and how far the paths lay apart.

    None where one of the two is not known.
    """

    entry_kmh: float | None
    kept: float | None
    peak_lateral_g: float | None
    nearest_m: float | None
    sections_s: tuple[float | None, ...]
    path_apart_m: float | None


def compare(first: Analysis, second: Analysis) -> Comparison:
    """The differences between two runs on the same course: second less first.

    Parameters
    ----------
    first, second : what two passes came to [km/h, g, m, s]

    Returns
    -------
    Comparison [km/h, g, m, s]; ``path_apart_m`` is the greatest distance between the two paths,
    measured across, None when part of either is not known.

    Raises
    ------
    CalculationError : the courses differ in length, or in the widths or places of their sections.

    Notes
    -----
    Courses for two vehicles are equally long and differ in width: margins and times through them
    say nothing of each other.

    Example
    -------
    >>> from vehicles.calculations.example_drive import driven
    >>> from vehicles.calculations.runlog import analyse
    >>> slow, fast = (analyse(**vars(driven(kmh))) for kmh in (80, 100))
    >>> found = compare(slow, fast)
    >>> round(found.entry_kmh, 1), found.path_apart_m is not None
    (20.0, True)

    Source: differences.
    """
    for name in ("length_m", "sections"):
        if getattr(first.course, name) != getattr(second.course, name):
            what = "two lengths" if name == "length_m" else "two sets of sections"
            raise CalculationError(quantity="course", value=what, allowed="runs on one course")
    return Comparison(
        entry_kmh=_less(second.entry_kmh, first.entry_kmh),
        kept=_less(second.kept, first.kept),
        peak_lateral_g=_less(second.peak_lateral_g, first.peak_lateral_g),
        nearest_m=_less(_nearest_m(second), _nearest_m(first)),
        sections_s=tuple(_less(b.time_s, a.time_s) for a, b in zip(first.sections, second.sections, strict=True)),
        path_apart_m=known(abs(second.trace.y_m - first.trace.y_m).max()),
    )


def _nearest_m(one: Analysis) -> float | None:
    return None if one.nearest is None else one.nearest.margin_m


def _less(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else one - other
