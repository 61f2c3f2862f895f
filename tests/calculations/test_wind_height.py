import pytest

from vehicles.calculations.errors import CalculationError
from vehicles.calculations.wind_height import at_height, by_power_law


# Source: logarithmic profile over open grass (z0 = 0.03 m): 2 m to 10 m 0.723; one-seventh law 0.795.
def test_ratios_as_printed():
    assert at_height(wind_mps=1) == pytest.approx(0.723, abs=0.0005)
    assert by_power_law(wind_mps=1) == pytest.approx(0.795, abs=0.0005)


# Source: the same: 3 m/s at 2 m is 4.15 and 3.78 m/s at 10 m.
@pytest.mark.parametrize(("profile", "printed"), [(at_height, 4.15), (by_power_law, 3.78)])
def test_the_limit_at_ten_metres_as_printed(profile, printed):
    assert profile(wind_mps=3, measured_at_m=2, wanted_at_m=10) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize("profile", [at_height, by_power_law])
def test_the_same_height_changes_nothing(profile):
    assert profile(wind_mps=2.5, measured_at_m=10, wanted_at_m=10) == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("profile", "wrong", "named"),
    [
        (at_height, {"wind_mps": -1}, "wind_mps: -1"),
        (at_height, {"roughness_m": 2}, "roughness_m: 2"),
        (at_height, {"wanted_at_m": 0}, "height_m: 0"),
        (by_power_law, {"measured_at_m": float("nan")}, "height_m: nan"),
        (by_power_law, {"wanted_at_m": 0}, "height_m: 0"),
        (by_power_law, {"exponent": 1}, "exponent: 1"),
    ],
)
def test_what_cannot_be_is_refused(profile, wrong, named):
    with pytest.raises(CalculationError, match=named):
        profile(**{"wind_mps": 3} | wrong)
