"""How likely a morning is to happen: the forecast where there is one, the past of the site beyond.

Assumptions, no published source; the numbers are in fixtures/planner.json: a forecast wind errs by a normal
distribution that widens with every day ahead, all hours of a morning err together, a dry forecast loses a share
with every day ahead, and the forecast gives way to the past in a straight line over the days it is trusted.
"""

from dataclasses import dataclass
from statistics import NormalDist

from testing.scheduling.habits import habits
from vehicles.calculations.explain import Working


@dataclass(frozen=True, kw_only=True)
class Chance:
    """Between 0 and 1, or None when nothing is known; ``text`` says from what."""

    value: float | None
    text: str
    working: Working | None = None

    @property
    def percent(self):
        """To the nearest five: it is not known better."""
        return None if self.value is None else 5 * round(20 * self.value)


def from_forecast(*, strongest_mps, limit_mps, days_ahead):
    """Chance that all hours keep the limit and stay dry when the forecast says so."""
    error = habits()["forecast"]
    sigma = error["error_mps"] + error["error_mps_per_day"] * days_ahead
    calm = NormalDist(0, sigma).cdf(limit_mps - strongest_mps)
    return calm * (1 - error["dry_chance_lost_per_day"]) ** days_ahead


def chance(*, strongest_mps, limit_mps, days_ahead, past):
    """From the strongest forecast wind (None: no forecast) and the past, (share, windows judged) or None."""
    if strongest_mps is None and past is None:
        return Chance(value=None, text="no forecast that far and no record of the past: upload a year of hours")
    if strongest_mps is None:
        how = _working(past[0], past=past)
        return Chance(value=past[0], text=f"{_past(past)}; no forecast that far", working=how)
    ahead = from_forecast(strongest_mps=strongest_mps, limit_mps=limit_mps, days_ahead=days_ahead)
    said = f"forecast: wind at most {strongest_mps:g} m/s, {limit_mps - strongest_mps:.1f} m/s to spare, and dry"
    asked = {
        "strongest wind forecast": f"{strongest_mps:g} m/s",
        "limit": f"{limit_mps:g} m/s",
        "days ahead": f"{days_ahead:g}",
        "p of the forecast": f"{ahead:.3f}",
    }
    if past is None:
        return Chance(value=ahead, text=said, working=_working(ahead, asked))
    trust = max(0.0, 1 - days_ahead / habits()["forecast"]["trust_days"])
    value = trust * ahead + (1 - trust) * past[0]
    how = _working(value, asked | {"trust in the forecast t": f"{trust:.2f}"}, past=past)
    return Chance(value=value, text=f"{said}; {_past(past)}", working=how)


def _working(value, asked=None, *, past=None):
    """How a chance came about, for the screen."""
    error = habits()["forecast"]
    inputs = dict(asked or {})
    if asked:
        inputs["forecast wind errs by σ"] = (
            f"{error['error_mps']:g} m/s and {error['error_mps_per_day']:g} m/s more for every day ahead"
        )
        inputs["dry forecast loses d"] = f"{error['dry_chance_lost_per_day']:g} for every day ahead"
    if past:
        inputs["p of the past"] = f"{past[0]:.3f} of {past[1]} windows judged"
    return Working(
        quantity="Chance of a workable window",
        formula="t · Φ((limit − wind) / σ) · (1 − d)^days + (1 − t) · p of the past; one of them alone where the other "
        "is not known",
        inputs=inputs,
        value=value,
        source="our assumptions, no published source; the past counted from the record of the site",
    )


def _past(past):
    share, judged = past
    return f"past: {100 * share:.0f} % of {judged} such mornings worked"
