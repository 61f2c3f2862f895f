"""What an hour of weather is described by, in which range, and in which units people write it."""

import re

from vehicles.calculations.errors import CalculationError
from vehicles.calculations.ranges import Range

WIND = Range(name="wind_mps", label="Wind", low=0, high=60, unit="m/s")
GUST = Range(name="gust_mps", label="Gust", low=0, high=60, unit="m/s")
RAIN = Range(name="rain_mm", label="Rain", low=0, high=500, unit="mm")

KNOT_KMH = 1.852
# International knot and mile, by definition.
UNITS = {"m/s": 1.0, "km/h": 1 / 3.6, "kn": KNOT_KMH / 3.6, "mph": 0.44704}
RAIN_UNITS = {"mm": 1.0, "in": 25.4}
NOT_KNOWN = ("", "-", "–", "NA")
_NUMBER = re.compile(r"[+-]?\d{1,6}(\.\d{1,20})?", re.ASCII)


def read(text, *, row, unit=None):
    """A number as it stands in a record, in the unit of its range; None when it is marked as not known.

    Raises CalculationError for anything that is not a number or not in the range.
    """
    text = text.strip()
    if text in NOT_KNOWN:
        return None
    # 10.8 km/h is 3 m/s exactly; the dust of the division must not put it over the limit.
    factor = UNITS.get(unit) or RAIN_UNITS.get(unit) or 1.0
    value = round(float(text) * factor, 6) if _NUMBER.fullmatch(text) else None
    if value is None or not row.low <= value <= row.high:
        raise CalculationError(quantity=row.label, value=f"“{text}”", allowed=f"numbers from {row}")
    return value
