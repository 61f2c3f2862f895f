"""Lengths and masses as people type them: a number and a unit, nothing that is evaluated."""

import re
from functools import cache
from typing import Any

from .errors import UnreadableError

# What people write, and pint's name for it. Only these reach pint: no expressions, no prefixes.
LENGTH_UNITS = {
    "mm": "millimetre",
    "cm": "centimetre",
    "m": "metre",
    "in": "inch",
    '"': "inch",
    "ft": "foot",
    "'": "foot",
}
MASS_UNITS = {"kg": "kilogram", "g": "gram", "t": "metric_ton", "lb": "pound"}

_QUANTITY = re.compile(
    r"\s*(?P<number>[+-]?(?:[1-9]\d{0,2}(?:,\d{3})+|\d{1,12})(?:\.\d{1,20})?)\s*(?P<unit>[a-z\"']*)\s*",
    re.ASCII | re.IGNORECASE,
)


@cache
def _registry() -> Any:
    # Pint costs a tenth of a second to import: only text with a unit pays for it.
    import pint

    return pint.UnitRegistry()


def parse_length_mm(text: str, *, quantity: str = "length", bare: str = "mm") -> float:
    """Read a length: ``value [mm] = number × unit``.

    Parameters
    ----------
    text : str
        A number, and mm, cm, m, in (or "), ft (or ') after it [-]
    quantity : str
        Name that an error message gives the length [-]
    bare : str
        Unit of a number that stands alone [-]

    Returns
    -------
    float
        Length [mm]

    Raises
    ------
    UnreadableError
        When the text is anything else.

    Notes
    -----
    A comma separates thousands and nothing else: ``1,885`` is read, ``1,5`` is refused because
    it could mean 1.5 as well as 15, and ``0,900`` because no thousands begin with 0.

    Examples
    --------
    >>> parse_length_mm("2 in"), parse_length_mm("1.885 m"), parse_length_mm("1,885")
    (50.8, 1885.0, 1885.0)

    Source: the inch is 25.4 mm exactly (international yard and pound agreement, 1959).
    """
    return _convert(text, quantity=quantity, units=LENGTH_UNITS, bare=bare, to="millimetre")


def parse_mass_kg(text: str, *, quantity: str = "mass", bare: str = "kg") -> float:
    """Read a mass: ``value [kg] = number × unit``.

    Parameters
    ----------
    text : str
        A number, and kg, g, t (tonne) or lb after it [-]
    quantity : str
        Name that an error message gives the mass [-]
    bare : str
        Unit of a number that stands alone [-]

    Returns
    -------
    float
        Mass [kg]

    Raises
    ------
    UnreadableError
        When the text is anything else.

    Examples
    --------
    >>> round(parse_mass_kg("4850 lb"), 3), parse_mass_kg("3.5 t")
    (2199.923, 3500.0)

    Source: the pound is 0.45359237 kg exactly (international yard and pound agreement, 1959).
    """
    return _convert(text, quantity=quantity, units=MASS_UNITS, bare=bare, to="kilogram")


def _convert(text: str, *, quantity: str, units: dict[str, str], bare: str, to: str) -> float:
    match = _QUANTITY.fullmatch(text)
    unit = units.get(match["unit"].lower() or bare) if match else None
    if match is None or unit is None:
        alone = f"a number such as 1885 or 1,885.5, alone ({bare}) or followed by {', '.join(units)}"
        allowed = f"{alone}; a point before decimals"
        raise UnreadableError(quantity=quantity, value=text, allowed=allowed)
    number = float(match["number"].replace(",", ""))
    if unit == to:
        return number
    # Twelve digits are more than anyone types; they remove the dust of the conversion.
    return float(f"{_registry().Quantity(number, unit).m_as(to):.12g}")
