"""From the latitude and longitude of a satellite receiver to places along and across the course."""

from math import cos, hypot, radians, sin, sqrt
from typing import TYPE_CHECKING

from .daylight import LATITUDE, LONGITUDE
from .errors import CalculationError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

# Ellipsoid WGS 84: equatorial radius and square of the first eccentricity.
RADIUS_M = 6_378_137.0
ECCENTRICITY_2 = 0.00669437999014
Place = tuple[float, float]


def metres_per_degree(*, latitude_deg: float) -> tuple[float, float]:
    """Length of one degree of latitude and of longitude at a latitude, on the ellipsoid.

    North: π/180 a (1 − e²) / (1 − e² sin² φ)^1.5; east: π/180 a cos φ / √(1 − e² sin² φ).

    Parameters: latitude φ [°]. Returns: (north, east) [m/°]. Raises CalculationError for a
    latitude outside −90 to 90.

    >>> [round(length) for length in metres_per_degree(latitude_deg=45)]
    [111132, 78847]

    Source: ellipsoid WGS 84.
    """
    latitude = radians(LATITUDE.check(latitude_deg))
    bend = 1 - ECCENTRICITY_2 * sin(latitude) ** 2
    north = radians(1) * RADIUS_M * (1 - ECCENTRICITY_2) / bend**1.5
    return north, radians(1) * RADIUS_M * cos(latitude) / sqrt(bend)


def on_course(
    *, latitude_deg: "Numbers", longitude_deg: "Numbers", start: Place, end: Place
) -> "tuple[Numbers, Numbers]":
    """Places x along the course and y to its left, from satellite positions.

    Parameters
    ----------
    latitude_deg, longitude_deg : positions of the receiver [°]
    start, end : latitude and longitude of two points on the right-hand boundary of section 1
        produced, the first at x = 0, the second further along the course [°]

    Returns
    -------
    x, y [m].

    Raises
    ------
    CalculationError : a place off the globe, or start and end less than 10 m or more than 5 km apart.

    Notes
    -----
    A flat map about the start, good to a millimetre over a course. The receiver's own error is
    far larger and stays: a margin to a cone is no better than the receiver.

    Example
    -------
    >>> import numpy as np
    >>> lat, lon = np.array([-33.8, -33.799]), np.array([150.87, 150.87])
    >>> x, y = on_course(latitude_deg=lat, longitude_deg=lon, start=(-33.8, 150.87), end=(-33.79, 150.87))
    >>> [round(float(one), 1) for one in x], bool(abs(y).max() < 1e-6)
    ([0.0, 110.9], True)

    Source: ellipsoid WGS 84, plane geometry.
    """
    for latitude, longitude in (start, end):
        LATITUDE.check(latitude)
        LONGITUDE.check(longitude)
    north_m, east_m = metres_per_degree(latitude_deg=start[0])
    north, east = (end[0] - start[0]) * north_m, (end[1] - start[1]) * east_m
    length = hypot(north, east)
    if not 10 <= length <= 5000:
        raise CalculationError(quantity="start to end", value=f"{length:.1f} m", allowed="10 to 5000 m")
    up, right = (latitude_deg - start[0]) * north_m, (longitude_deg - start[1]) * east_m
    return (up * north + right * east) / length, (up * east - right * north) / length
