"""Tyre arithmetic: from the size on the sidewall to diameters, ratings and their effects."""

import re
from dataclasses import dataclass, replace

from .errors import CalculationError, UnreadableError

MM_PER_INCH = 25.4
ALLOWED_SIZES = "a size such as 265/65R17, LT285/75R16 121/118S or 33x12.50R15LT"

# The most that a measured diameter may be off the one that the size names.
OFF_BY = 0.08
# Load index 75 to 125 in kg for one tyre, and speed symbols in km/h.
# Source: ETRTO and TRA tables of load index and speed symbol, as several public tables agree.
_LOADS_KG = (
    "387 400 412 425 437 450 462 475 487 500 515 530 545 560 580 600 615 630 650 670 690 710 730 750 775"
    " 800 825 850 875 900 925 950 975 1000 1030 1060 1090 1120 1150 1180 1215 1250 1285 1320 1360 1400"
    " 1450 1500 1550 1600 1650"
)
LOAD_INDEX_KG = {index: float(mass) for index, mass in enumerate(_LOADS_KG.split(), start=75)}
SPEED_SYMBOL_KMH = {
    "F": 80, "G": 90, "J": 100, "K": 110, "L": 120, "M": 130, "N": 140, "P": 150, "Q": 160, "R": 170, "S": 180,
    "T": 190, "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}  # fmt: skip

_SERVICE = r"(?:\s*\(?(?P<load>\d{2,3})(?:/\d{2,3})?(?P<speed>[" + "".join(SPEED_SYMBOL_KMH) + r"])\)?)?"
_METRIC = re.compile(
    r"(?:P|LT)?(?P<section>\d{3})/(?P<aspect>\d{2,3})\s*(?:ZR|R|RF|D|B|-)(?P<rim>\d{2}(?:\.5)?)(?:LT|C)?" + _SERVICE,
    re.ASCII,
)
_FLOTATION = re.compile(
    r"(?:LT)?(?P<outer>\d{2}(?:\.\d{1,2})?)X(?P<width>\d{1,2}(?:\.\d{1,2})?)(?:R|D|B|-)(?P<rim>\d{2}(?:\.5)?)(?:LT)?"
    + _SERVICE,
    re.ASCII,
)
# What is made for light vehicles, with room to spare (common practice, no published source).
_LIMITS = {"section": (105, 405), "aspect": (25, 105), "rim": (10, 26), "outer": (20, 46), "width": (5, 20)}


@dataclass(frozen=True, kw_only=True)
class Tyre:
    """One tyre size. ``handbook_mm`` is None where no rounding rule is known (flotation sizes)."""

    size: str
    diameter_mm: float
    handbook_mm: float | None
    section_mm: float
    rim_in: float
    load_index: int | None = None
    speed_symbol: str | None = None
    measured: bool = False

    @property
    def capacity_kg(self) -> float | None:
        """What one tyre may carry by its load index; None when there is none or it is not tabled."""
        return None if self.load_index is None else LOAD_INDEX_KG.get(self.load_index)

    @property
    def speed_kmh(self) -> int | None:
        """The highest speed that the speed symbol allows; None when there is no symbol."""
        return None if self.speed_symbol is None else SPEED_SYMBOL_KMH[self.speed_symbol]


def read_tyre(size: str, *, quantity: str = "tyre") -> Tyre:
    """Read a size designation: ``D = 25.4 rim + 2 section × aspect / 100``.

    Parameters
    ----------
    size : str
        Metric (265/65R17), light truck (LT285/75R16) or flotation size (33x12.50R15LT), with or
        without load index and speed symbol [-]
    quantity : str
        Name that an error message gives the size [-]

    Returns
    -------
    Tyre
        Exact diameter and handbook diameter, section width [mm], rim [in], ratings

    Raises
    ------
    UnreadableError
        When the text is no such size, or one that no light vehicle wears.

    Notes
    -----
    The handbook rounds the section height and the rim's diameter to whole millimetres before
    adding (ETRTO, UN R30; from memory). The two can fall on different sides of a limit, so both
    are kept. A flotation size names its diameter in inches: nominal, a tyre as made is often up to
    half an inch smaller (common practice, no published source), so measure it near a limit.

    Examples
    --------
    >>> tyre = read_tyre("265/65R17 112S")
    >>> tyre.diameter_mm, tyre.handbook_mm, tyre.capacity_kg, tyre.speed_kmh
    (776.3, 776.0, 1120.0, 180)

    Source: size designations of ETRTO; 265/65R17 is 776.3 mm by this arithmetic.
    """
    text = " ".join(size.upper().replace("×", "X").split())
    match = _METRIC.fullmatch(text) or _FLOTATION.fullmatch(text)
    if match is None:
        raise UnreadableError(quantity=quantity, value=size, allowed=ALLOWED_SIZES)
    parts = match.groupdict()
    for name, (low, high) in _LIMITS.items():
        if parts.get(name) and not low <= float(parts[name]) <= high:
            allowed = f"{ALLOWED_SIZES}, with {name} {low} to {high}"
            raise UnreadableError(quantity=quantity, value=size, allowed=allowed)
    return _metric(text, parts) if "section" in parts else _flotation(text, parts)


def _metric(text: str, parts: dict[str, str]) -> Tyre:
    section, aspect, rim = int(parts["section"]), int(parts["aspect"]), float(parts["rim"])
    wall_mm = (section * aspect + 50) // 100  # half a millimetre rounds up
    return Tyre(
        size=text,
        diameter_mm=round(rim * MM_PER_INCH + 2 * section * aspect / 100, 6),
        handbook_mm=float(int(rim * MM_PER_INCH + 0.5) + 2 * wall_mm),
        section_mm=float(section),
        rim_in=rim,
        load_index=int(parts["load"]) if parts["load"] else None,
        speed_symbol=parts["speed"],
    )


def _flotation(text: str, parts: dict[str, str]) -> Tyre:
    return Tyre(
        size=text,
        diameter_mm=round(float(parts["outer"]) * MM_PER_INCH, 6),
        handbook_mm=None,
        section_mm=round(float(parts["width"]) * MM_PER_INCH, 6),
        rim_in=float(parts["rim"]),
        load_index=int(parts["load"]) if parts["load"] else None,
        speed_symbol=parts["speed"],
    )


def as_measured(tyre: Tyre, *, diameter_mm: float, quantity: str = "diameter_mm") -> Tyre:
    """The same tyre with the diameter that somebody measured, fitted and inflated.

    Parameters
    ----------
    tyre : Tyre
        As its size names it [mm]
    diameter_mm : float
        As measured [mm]
    quantity : str
        Name that an error message gives the measurement [-]

    Returns
    -------
    Tyre
        Measured, so that neither handbook nor sidewall leaves a choice

    Raises
    ------
    CalculationError
        When it is more than 8 % off what the size names: a radius, or another tyre

    Examples
    --------
    >>> as_measured(read_tyre("33x12.50R15"), diameter_mm=829).diameter_mm
    829

    Notes: worn tyres measure up to 20 mm less than new ones; measure both sizes equally worn.

    Source: how far a tyre may be off its size is our assumption, wider than wear and rounding.
    """
    low, high = (tyre.diameter_mm * (1 + sign * OFF_BY) for sign in (-1, 1))
    if not low <= diameter_mm <= high:
        raise CalculationError(
            quantity=quantity, value=diameter_mm, allowed=f"{low:.0f} to {high:.0f} mm for {tyre.size}"
        )
    return replace(tyre, diameter_mm=diameter_mm, handbook_mm=diameter_mm, measured=True)


@dataclass(frozen=True, kw_only=True)
class TyreChange:
    """What a change of size does, by exact and by handbook diameters."""

    before: Tyre
    after: Tyre
    change_mm: float
    change_percent: float
    rise_mm: float
    handbook_rise_mm: float | None
    true_at_100_kmh: float


def compare(*, before: Tyre, after: Tyre) -> TyreChange:
    """Compare two sizes: rise ``(D₂ − D₁) / 2``, true speed ``v = indicated × D₂ / D₁``.

    Parameters
    ----------
    before, after : Tyre
        The original size and the one now fitted

    Returns
    -------
    TyreChange
        Change of diameter [mm, %], rise [mm], true speed at an indicated 100 km/h [km/h]

    Notes
    -----
    The speedometer is taken as exact on the original size, and both tyres as equally worn and
    equally squashed by their load.

    Examples
    --------
    >>> change = compare(before=read_tyre("265/65R17"), after=read_tyre("285/70R17"))
    >>> change.rise_mm, round(change.change_percent, 2), round(change.true_at_100_kmh, 1)
    (27.25, 7.02, 107.0)

    Source: geometry.
    """
    change_mm = round(after.diameter_mm - before.diameter_mm, 6)
    handbook = None
    if before.handbook_mm is not None and after.handbook_mm is not None:
        handbook = (after.handbook_mm - before.handbook_mm) / 2
    return TyreChange(
        before=before,
        after=after,
        change_mm=change_mm,
        change_percent=100 * change_mm / before.diameter_mm,
        rise_mm=change_mm / 2,
        handbook_rise_mm=handbook,
        true_at_100_kmh=100 * after.diameter_mm / before.diameter_mm,
    )


def axle_capacity_kg(tyre: Tyre, *, tyres_on_axle: int = 2) -> float | None:
    """What the tyres of one axle may carry: ``n × load index``.

    Parameters
    ----------
    tyre : Tyre
        The size with its load index
    tyres_on_axle : int
        2, or 4 for twin wheels [-]

    Returns
    -------
    float or None
        Mass [kg]; None when the load index is missing or outside 75 to 125

    Raises
    ------
    CalculationError
        When the number of tyres is neither 2 nor 4.

    Examples
    --------
    >>> axle_capacity_kg(read_tyre("265/65R17 112S"))
    2240.0

    Notes: twin tyres carry a lower index each; give that one.

    Source: load index table, 112 is 1120 kg.
    """
    if tyres_on_axle not in (2, 4):
        raise CalculationError(quantity="tyres_on_axle", value=tyres_on_axle, allowed="2 or 4")
    return None if tyre.capacity_kg is None else tyres_on_axle * tyre.capacity_kg
