"""What may be measured beyond the facts of the vehicle: corner weights, an axle lift, rows of seats."""

from collections.abc import Sequence
from dataclasses import dataclass

AXLES = ("front", "rear")


@dataclass(frozen=True, kw_only=True)
class Corners:
    """What each wheel weighs [kg], in the same state as the empty mass; None is not weighed."""

    front_left_kg: float | None = None
    front_right_kg: float | None = None
    rear_left_kg: float | None = None
    rear_right_kg: float | None = None


@dataclass(frozen=True, kw_only=True)
class LiftStep:
    """One step of an axle lift: the raised axle's height [mm], the reading of the other one [kg]."""

    raised_mm: float | None = None
    held_axle_kg: float | None = None


@dataclass(frozen=True, kw_only=True)
class AxleLift:
    """An axle-lift weighing of the empty vehicle, in the state in which its axles were weighed level.

    ``raised_axle`` is front or rear; ``static_radius_mm`` is the loaded radius of the tyres; the
    errors are what one reading of the scale and of the angle may be out by, None for the usual.
    """

    raised_axle: str | None = None
    static_radius_mm: float | None = None
    scale_error_kg: float | None = None
    angle_error_deg: float | None = None
    steps: tuple[LiftStep, ...] = ()


@dataclass(frozen=True, kw_only=True)
class SeatRow:
    """One row of seats, front row first: its distance behind the front axle [mm] and its seats."""

    x_mm: float | None = None
    seats: int | None = None


def centre_of_rows(rows: Sequence[SeatRow]) -> float | None:
    """Centre of all seats but the driver's in the first row: x = Σ n x / Σ n.

    Parameters: rows, front row first [mm]. Returns: distance behind the front axle [mm], None
    without rows, when a row is not measured, or when there is no seat but the driver's.

    >>> centre_of_rows((SeatRow(x_mm=1300, seats=2), SeatRow(x_mm=2200, seats=3)))
    1975.0

    Source: moments about the front axle, each seat loaded alike.
    """
    known = [(row.x_mm, row.seats) for row in rows if row.x_mm is not None and row.seats is not None]
    if not known or len(known) < len(rows):
        return None
    others = [(x, seats - (index == 0)) for index, (x, seats) in enumerate(known)]
    total = sum(seats for _, seats in others)
    return sum(x * seats for x, seats in others) / total if total else None
