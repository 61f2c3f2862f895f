"""A loading as plain data: what to put where, and what each place must be lashed for."""

from dataclasses import asdict

from .ballast import Place, Plan
from .loading import Loading, MassLoading


def loading_data(loading: Loading) -> dict[str, object]:
    """Both loadings under ``tm1`` and ``tm2``.

    Parameters: the loadings. Returns: plain data, masses [kg], places [mm], forces [N].

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> told = loading_data(done.loading)
    >>> told["tm1"]["state"], told["tm2"]["state"]
    ('nothing', 'planned')

    Source: our own format.
    """
    return {
        "stock": {
            "edition": loading.stock.edition,
            "pieces": [asdict(piece) for piece in loading.stock.pieces],
            "source": loading.stock.source,
        },
        "assumed": loading.assumed,
        **{one.mass: _mass(one) for one in (loading.tm1, loading.tm2)},
    }


def _mass(one: MassLoading) -> dict[str, object]:
    return {
        "target_kg": one.target_kg,
        "state": _state(one),
        "plan": None if one.plan is None else _plan(one.plan, one.places),
        "reasons": one.reasons,
        "undecided": one.undecided,
        "cautions": one.cautions,
        "notes": one.notes,
    }


def _state(one: MassLoading) -> str:
    """planned, impossible, undecided, or nothing: no ballast is needed."""
    if one.plan is not None:
        return "planned"
    if one.reasons:
        return "impossible"
    return "undecided" if one.target_kg is None or one.undecided else "nothing"


def _plan(found: Plan, places: tuple[Place, ...]) -> dict[str, object]:
    return {
        "mass_kg": found.mass_kg,
        "over_kg": found.over_kg,
        "pieces": [asdict(put) for put in found.puts],
        "places": [_place(place, found) for place in places],
        "front_axle_kg": found.front_axle_kg,
        "rear_axle_kg": found.rear_axle_kg,
        "height_mm": found.height_mm,
        "left_of_middle_mm": found.lateral_mm,
    }


def _place(place: Place, found: Plan) -> dict[str, object]:
    held = found.restraint.get(place.key)
    return {
        "place": place.key,
        "x_mm": place.x_mm,
        "y_mm": place.y_mm,
        "height_mm": place.height_mm,
        "share_kg": place.share_kg,
        "most_kg": place.most_kg,
        "mass_kg": found.by_place[place.key],
        "lashing": None if held is None else asdict(held),
    }
