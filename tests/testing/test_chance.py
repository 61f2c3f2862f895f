"""The chance of a morning: forecast near, past far."""

import pytest

from testing.scheduling.chance import chance, from_forecast


def test_wind_at_the_limit_is_even_odds_on_the_day():
    """A symmetric error: half of it lies above. The error model itself is our assumption."""
    assert from_forecast(strongest_mps=3.0, limit_mps=3.0, days_ahead=0) == pytest.approx(0.5)


def test_one_standard_error_to_spare():
    """The normal distribution at one standard error, a table value: 0.8413."""
    assert from_forecast(strongest_mps=2.4, limit_mps=3.0, days_ahead=0) == pytest.approx(0.8413, abs=5e-5)


def test_farther_ahead_is_less_sure():
    values = [from_forecast(strongest_mps=1.5, limit_mps=3.0, days_ahead=days) for days in range(8)]
    assert values == sorted(values, reverse=True)


def test_the_past_takes_over_within_a_week():
    near = chance(strongest_mps=1.0, limit_mps=3.0, days_ahead=0, past=(0.3, 40))
    far = chance(strongest_mps=1.0, limit_mps=3.0, days_ahead=7, past=(0.3, 40))
    assert near.value == pytest.approx(from_forecast(strongest_mps=1.0, limit_mps=3.0, days_ahead=0))
    assert far.value == pytest.approx(0.3)
    assert "past: 30 % of 40 such mornings worked" in far.text


def test_without_a_forecast_the_past_alone():
    found = chance(strongest_mps=None, limit_mps=3.0, days_ahead=20, past=(0.62, 31))
    assert (found.value, found.percent) == (0.62, 60)


def test_with_neither_it_is_not_known():
    found = chance(strongest_mps=None, limit_mps=3.0, days_ahead=20, past=None)
    assert (found.value, found.percent) == (None, None)
    assert "upload a year" in found.text
