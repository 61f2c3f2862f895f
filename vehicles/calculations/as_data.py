"""A work-up as plain data."""

from collections.abc import Sequence
from dataclasses import asdict

from .decided_data import decided
from .explain import Working
from .loading_data import loading_data
from .plain_data import clean, without
from .workup_parts import Parts


def as_data(
    done: Parts, *, cautions: Sequence[str], undecided: Sequence[str], working: Sequence[Working]
) -> dict[str, object]:
    """Every part of a work-up under its key.

    Parameters: the parts [mm, kg, g, AUD by name]; cautions, gaps and workings as gathered [-].
    Returns: plain data.

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> sorted(as_data(done, cautions=(), undecided=(), working=()))[:4]
    ['ballast', 'category', 'cautions', 'centre_of_gravity']

    Source: our own format.
    """
    data: dict[str, object] = {
        **decided(done),
        "masses": {
            **without(done.masses, "workings", "cautions"),
            "axles": without(done.axles, "cautions", "tm1_gaps", "workings"),
        },
        "ballast": None if done.loading is None else loading_data(done.loading),
        "centre_of_gravity": _centre(done),
        "course": _course(done),
        "set_out": None if done.set_out is None else without(done.set_out, "cautions"),
        "site": None if done.site is None else without(done.site, "workings"),
        "speeds": {name: getattr(done.speeds, name) for name in ("target_kmh", "first_max_kmh", "ladder_kmh")},
        "speedometer": None if done.speedometer is None else without(done.speedometer, "workings"),
        "stability": {item.mass: without(item, "mass", "workings") for item in done.stability},
        "demand": [{"speed_kmh": d.speed_kmh, "peak_lateral_g": d.peak_lateral_g} for d in done.demand],
        "outlook": None if done.outlook is None else asdict(done.outlook),
        "limits": {"wind_mps": done.rules.value("wind.limit_mps")},
        "estimate": without(done.estimate, "workings"),
        "cautions": cautions,
        "undecided": undecided,
        "working": [asdict(item) for item in working],
    }
    plain: dict[str, object] = clean(data)
    return plain


def _centre(done: Parts) -> dict[str, object]:
    """Height as measured and the places along and across; steps are those of the axle lift."""
    found = done.centre_of_gravity
    return {
        **without(found.height, "workings", "cautions"),
        "at": {item.mass: without(item, "mass") for item in found.positions},
    }


def _course(done: Parts) -> dict[str, object] | None:
    return None if done.course is None else without(done.course, "workings", "cautions", "lanes")
