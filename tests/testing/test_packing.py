"""Several vehicles in one hire: the order that carries the fewest cones, and a timed day."""

from datetime import datetime
from itertools import pairwise, permutations
from zoneinfo import ZoneInfo

import pytest

from testing.scheduling.packing import Entry, cones_between, pack
from testing.scheduling.room import asked_by
from tests.factories import VehicleFactory
from tests.scheduling_factories import ready_job
from vehicles.calculations.course import lay_out

pytestmark = pytest.mark.django_db
SYDNEY = ZoneInfo("Australia/Sydney")


def entries(*widths_mm):
    jobs = [ready_job(vehicle=VehicleFactory(overall_width_mm=width)) for width in widths_mm]
    return [Entry(job=job, asked=asked_by(job)) for job in jobs]


def widths(order):
    return [part.entry.job.vehicle.overall_width_mm for part in order.parts]


def test_the_right_hand_cones_stay_and_the_nine_on_the_left_move():
    """FACTS 4: widths 1.1, 1.2, 1.3 w + 0.25 m, right boundaries aligned, 18 cones: nine on the left depend on w."""
    assert cones_between(lay_out(width_mm=1800), lay_out(width_mm=1800)) == (0, 0)
    moved, metres = cones_between(lay_out(width_mm=1800), lay_out(width_mm=1900))
    assert moved == 9
    # Three cones on the left of each lane, each by 0.1 m times the factor of its lane: 3 × 0.1 × (1.1 + 1.2 + 1.3).
    assert metres == pytest.approx(1.08)


def test_a_difference_that_no_cone_shows_moves_none():
    """10 mm of width move a cone by 13 mm at most: within the 20 mm that count as the same place."""
    assert cones_between(lay_out(width_mm=1800), lay_out(width_mm=1810)) == (0, 0)


def test_alike_vehicles_stand_together():
    order = pack(entries(1900, 1700, 1900, 1700))
    assert widths(order) in ([1900, 1900, 1700, 1700], [1700, 1700, 1900, 1900])
    assert (order.cones_moved, order.saved_cones) == (9, 18)


def test_no_other_order_carries_less():
    """Every order tried, by widths alone: cones are carried 3 × 3.6 m for every metre of difference in width."""
    given = (1885, 1700, 1990, 1760, 1925)
    order = pack(entries(*given))

    def carried(some):
        return sum(abs(a - b) for a, b in pairwise(some))

    assert carried(widths(order)) == min(carried(some) for some in permutations(given))


def test_the_day_is_timed_without_gaps_and_within_the_booked_parts():
    order = pack(entries(1885, 1700))
    lines = order.timed(datetime(2026, 12, 3, 6, tzinfo=SYDNEY))
    assert lines[0]["from"] == "06:00"
    assert lines[0]["what"].startswith("Walk the site")
    assert lines[-1]["what"].startswith("Pack up")
    assert [line["job"] for line in lines if "Test Mass" in line["what"]] == [
        part.entry.job.number for part in order.parts for _ in (1, 2)
    ]
    first, second = order.parts
    assert (first.from_min, first.to_min) == (0, second.from_min)
    for part in order.parts:
        assert part.from_min % 15 == part.to_min % 15 == 0
        assert (
            sum(act.minutes for act in part.acts)
            <= part.to_min - part.from_min
            < 15 + sum(act.minutes for act in part.acts)
        )


def test_one_vehicle_takes_what_its_masses_and_speeds_take():
    """Ladder 80, 90, 100, 110; by hand: 45 + 2 × 4 × 8 × 1.5 + (15 + 4 × 3.28) + 30 = 199.1, rounded up to 210 min.

    Ballast of the work-up's example with a driver of 68 kg: 4 × 68 for the seats left and 5 × 13.6 kg luggage = 340,
    less nothing: 15 + 4 × 3.4 = 28.6, together 199.6 min.
    """
    (part,) = pack(entries(1885)).parts
    assert part.entry.ballast_kg == pytest.approx(4 * 68 + 5 * 13.6)
    assert sum(act.minutes for act in part.acts) == pytest.approx(45 + 96 + 28.6 + 30)
    assert part.to_min == 210


def test_times_hold_across_the_change_of_clocks():
    """Clocks go back in Sydney on 5 April 2026 at 03:00: 45 minutes after 02:30 it is 02:15 once more."""
    order = pack(entries(1885))
    lines = order.timed(datetime(2026, 4, 5, 2, 30, tzinfo=SYDNEY))
    assert (lines[0]["from"], lines[0]["to"]) == ("02:30", "02:15")


def test_what_cannot_be_planned_is_said():
    with pytest.raises(ValueError, match="overall width is not known"):
        pack(entries(None))
    with pytest.raises(ValueError, match="1 to 6 vehicles"):
        pack(entries(*range(1800, 1807)))
