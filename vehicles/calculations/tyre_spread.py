"""How far a change of tyre diameter is known before anybody measures the tyres."""

from dataclasses import dataclass

from .tyres import Tyre, TyreChange

# A flotation size names its diameter in inches; as made it is up to half an inch smaller.
NOMINAL_MM = 12.7
HANDBOOK = "By the handbook's rounded tyre diameters"
NOMINAL = f"With the flotation size made up to {NOMINAL_MM:g} mm smaller than its name says"
MEASURE = (
    "tyre diameters: measure both sizes fitted and inflated, they decide about the limit; they are entered with the "
    "change of tyres"
)


@dataclass(frozen=True, kw_only=True)
class OtherReading:
    """Another value that the same change can have: change and original diameter [mm], and why."""

    change_mm: float
    before_mm: float
    how: str

    @property
    def rise_mm(self) -> float:
        """Half the change of diameter [mm]."""
        return self.change_mm / 2

    @property
    def percent(self) -> float:
        """The change in per cent of the original diameter."""
        return 100 * self.change_mm / self.before_mm


def other_readings(change: TyreChange | None) -> tuple[OtherReading, ...]:
    """What else the change of diameter can be, besides the exact arithmetic of the sizes.

    Parameters
    ----------
    change : TyreChange or None
        The change by exact diameters [mm]

    Returns
    -------
    tuple of OtherReading
        Empty without a change, where both sizes are the same, or where both were measured

    Examples
    --------
    >>> from .tyres import compare, read_tyre
    >>> metric = compare(before=read_tyre("265/65R17"), after=read_tyre("285/70R17"))
    >>> [(item.change_mm, item.rise_mm) for item in other_readings(metric)]  # 54.5 mm exactly
    [(56.0, 28.0)]
    >>> inches = compare(before=read_tyre("265/65R17"), after=read_tyre("33x12.50R17"))
    >>> [round(item.change_mm, 1) for item in other_readings(inches)]  # 61.9 mm by name
    [49.2]

    Source: rounding of tyre handbooks (ETRTO, UN R30; from memory); half an inch for flotation
    sizes is common practice, no published source.
    """
    if change is None or change.before.size == change.after.size:
        return ()
    before, after = change.before, change.after
    if before.measured and after.measured:
        return ()
    if before.handbook_mm is not None and after.handbook_mm is not None:
        handbook = OtherReading(
            change_mm=after.handbook_mm - before.handbook_mm, before_mm=before.handbook_mm, how=HANDBOOK
        )
        return (handbook,)
    found = []
    if after.handbook_mm is None:
        found.append(_nominal(change.change_mm - NOMINAL_MM, before))
    if before.handbook_mm is None:
        found.append(_nominal(change.change_mm + NOMINAL_MM, before))
    return tuple(found)


def _nominal(change_mm: float, before: Tyre) -> OtherReading:
    return OtherReading(change_mm=change_mm, before_mm=before.diameter_mm, how=NOMINAL)
