"""Whether instruments and ballast for a test are there."""

from django.utils.formats import date_format

from testing.models import BallastStock, Instrument
from testing.scheduling.habits import habits
from vehicles import reference
from vehicles.calculations.ballast import Piece
from vehicles.calculations.ballast_stock import BallastStock as BallastKept
from vehicles.calculations.verdict import MET, NOT_MET, UNKNOWN
from vehicles.calculations.wording import plain
from vehicles.wording import in_a_sentence


def needed_kinds():
    return habits()["instruments"]["needed"]


def instruments(booked, day):
    """Verdict and text: each needed kind is booked, and every booked one in calibration on the day."""
    against = [text for one in booked if (text := one.objection(day))]
    labels = dict(Instrument.Kind.choices)
    missing = [in_a_sentence(labels[kind]) for kind in needed_kinds() if kind not in {one.kind for one in booked}]
    if missing:
        against.append(f"Not booked: {', '.join(missing)}.")
    if against:
        return NOT_MET, " ".join(against)
    listed = "; ".join(f"{one} until {date_format(one.valid_to)}" for one in booked)
    return MET, f"In calibration: {listed}."


def choose(day, busy=frozenset(), *, among=None):
    """One instrument of each needed kind that is in date and free, and the kinds for which there is none."""
    kept = list(Instrument.objects.all()) if among is None else among
    chosen, missing = [], []
    for kind in needed_kinds():
        good = [one for one in kept if one.kind == kind and not one.objection(day) and one.pk not in busy]
        if good:
            chosen.append(max(good, key=lambda one: one.valid_to))
        elif any(one.kind == kind for one in kept):
            missing.append(kind)
    return chosen, missing


def own_stock():
    """The ballast that the workshop keeps, for planning; an assumed stock that says so where none is recorded."""
    rows = BallastStock.objects.all()
    assumed = reference.ballast_stock()
    if not rows:
        return assumed
    source = "the workshop's own stock as recorded; what a place may carry is common practice, no published source"
    return BallastKept(
        edition="workshop",
        source=source,
        pieces=tuple(
            Piece(key=f"{row.name}, {plain(row.piece_kg)} kg", mass_kg=row.piece_kg, count=row.pieces) for row in rows
        ),
        most_kg=assumed.most_kg,
    )


def ballast(needed_kg, stock):
    """Verdict and text: what is asked for against all that is kept."""
    kept_kg = sum(row.total_kg for row in stock)
    if needed_kg is None:
        return UNKNOWN, "How much ballast it takes is not known yet: the masses are undecided."
    if not stock:
        return UNKNOWN, f"It takes {needed_kg:,.0f} kg; no stock of ballast is recorded."
    enough = kept_kg >= needed_kg
    return (MET if enough else NOT_MET), f"It takes {needed_kg:,.0f} kg; {kept_kg:,.0f} kg are in stock."


def ballast_needed_kg(masses):
    """Seats, luggage and goods together, with what a light driver carries; None while undecided."""
    parts = [
        getattr(masses, name, None)
        for name in ("seat_ballast_kg", "luggage_ballast_kg", "goods_ballast_kg", "driver_ballast_kg")
    ]
    if parts[0] is None or parts[1] is None or parts[2] is None:
        return None
    return sum(part or 0 for part in parts)
