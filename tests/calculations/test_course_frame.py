import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vehicles.calculations.course_frame import metres_per_degree, on_course
from vehicles.calculations.errors import CalculationError

START = (-33.80, 150.87)


# Source: tables of the length of a degree on WGS 84, printed to the metre.
@pytest.mark.parametrize(
    ("latitude", "north", "east"),
    [(0, 110574, 111320), (15, 110649, 107550), (30, 110852, 96486), (45, 111132, 78847), (60, 111412, 55800)],
)
def test_length_of_a_degree_as_printed(latitude, north, east):
    assert metres_per_degree(latitude_deg=latitude) == pytest.approx((north, east), abs=0.6)


def end_at(north_m, east_m):
    north, east = metres_per_degree(latitude_deg=START[0])
    return START[0] + north_m / north, START[1] + east_m / east


def test_heading_north_west_lies_to_the_left():
    lat, lon = np.array([end_at(50, 0), end_at(0, -2)]).T
    x, y = on_course(latitude_deg=lat, longitude_deg=lon, start=START, end=end_at(125, 0))
    assert x == pytest.approx([50, 0], abs=1e-6)
    assert y == pytest.approx([0, 2], abs=1e-6)


@given(
    bearing=st.floats(min_value=0, max_value=2 * np.pi),
    x=st.floats(min_value=-500, max_value=500),
    y=st.floats(min_value=-20, max_value=20),
)
def test_places_come_back_whatever_the_course_s_bearing(bearing, x, y):
    ahead, aside = np.array([np.cos(bearing), np.sin(bearing)]), np.array([np.sin(bearing), -np.cos(bearing)])
    lat, lon = end_at(*(x * ahead + y * aside))
    found = on_course(
        latitude_deg=np.array([lat]), longitude_deg=np.array([lon]), start=START, end=end_at(*(125 * ahead))
    )
    assert (found[0][0], found[1][0]) == pytest.approx((x, y), abs=1e-5)


@pytest.mark.parametrize(
    ("start", "end", "named"),
    [
        (START, START, "start to end: 0.0 m"),
        (START, (-33.0, 150.87), "start to end: "),
        ((-91, 0), START, "latitude_deg: -91"),
        (START, (0, 181), "longitude_deg: 181"),
    ],
)
def test_points_that_give_no_direction_are_refused(start, end, named):
    with pytest.raises(CalculationError, match=named):
        on_course(latitude_deg=np.zeros(1), longitude_deg=np.zeros(1), start=start, end=end)
