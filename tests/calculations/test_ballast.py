from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vehicles.calculations.ballast import Axles, Piece, Place, plan
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.lashing import restraint

CAR = Axles(wheelbase_mm=2790, front_kg=1200, rear_kg=1090, front_rating_kg=1480, rear_rating_kg=1780)
STOCK = (
    Piece(key="bag 20", mass_kg=20, count=20),
    Piece(key="bag 25", mass_kg=25, count=20),
    Piece(key="plate 10", mass_kg=10, count=20),
)


def place(key, x, y=0, *, height=700, share=68, most=120):
    return Place(key=key, x_mm=x, y_mm=y, height_mm=height, share_kg=share, most_kg=most)


SEATS = (
    place("front left", 1300, 380),
    place("rear left", 2200, 450),
    place("rear middle", 2200),
    place("rear right", 2200, -450),
    place("luggage", 3200, height=800, share=56),
)


def load(target=328, *, stock=STOCK, places=SEATS, axles=CAR, **rest):
    return plan(target_kg=target, stock=stock, places=places, axles=axles, **rest)


def test_a_five_seater_is_loaded_just_over_its_target_and_evenly():
    found = load()
    assert found.feasible
    assert (found.mass_kg, found.over_kg) == (330, 2)
    shares = {spot.key: spot.share_kg for spot in SEATS}
    assert max(abs(kg - shares[key]) for key, kg in found.by_place.items()) <= 3
    assert sum(put.mass_kg for put in found.puts) == found.mass_kg
    assert found.reasons == found.undecided == ()


def test_moments_of_the_loaded_axles_balance():
    found = load()
    moment = sum(found.by_place[spot.key] * spot.x_mm for spot in SEATS)
    assert found.rear_axle_kg == pytest.approx(1090 + moment / 2790)
    assert found.front_axle_kg + found.rear_axle_kg == pytest.approx(1200 + 1090 + found.mass_kg)


# Source: 200 kg placed 300 mm behind the rear axle of a 2,750 mm wheelbase: rear +221.8, front −21.8 kg.
def test_load_behind_the_rear_axle_as_printed():
    van = replace(CAR, wheelbase_mm=2750)
    spot = place("bar", 3050, share=200, most=200)
    found = load(200, places=[spot], axles=van)
    assert found.rear_axle_kg - 1090 == pytest.approx(221.8, abs=0.05)
    assert found.front_axle_kg - 1200 == pytest.approx(-21.8, abs=0.05)


def test_of_loadings_as_heavy_and_as_even_the_lowest_is_taken():
    high, low = place("high", 2200, 300, height=900, share=30), place("low", 2200, -300, height=500, share=30)
    found = load(50, places=[high, low], stock=[Piece(key="bag 20", mass_kg=20, count=1), *STOCK[1:]])
    assert found.by_place == {"high": 25, "low": 25}
    odd = load(60, places=[replace(high, share_kg=32), replace(low, share_kg=32)], stock=STOCK[1:2])
    assert odd.mass_kg == 75
    assert odd.by_place == {"high": 25, "low": 50}
    assert odd.height_mm == pytest.approx((25 * 900 + 50 * 500) / 75)
    assert odd.lateral_mm == pytest.approx((25 * 300 - 50 * 300) / 75)


def test_nothing_to_reach_needs_nothing():
    found = load(0)
    assert (found.feasible, found.mass_kg, found.puts, found.restraint) == (True, 0, (), {})
    assert found.height_mm is found.lateral_mm is None


def test_a_rating_that_is_not_known_is_named():
    found = load(axles=replace(CAR, front_rating_kg=None, rear_rating_kg=None))
    assert found.feasible
    assert [text.split(":")[0] for text in found.undecided] == ["front_axle_rating_kg", "rear_axle_rating_kg"]


def test_axle_ratings_move_the_load():
    behind = load(axles=replace(CAR, front_rating_kg=1240))
    assert behind.feasible
    assert behind.front_axle_kg <= 1240 + 1e-3
    assert behind.by_place["luggage"] > load().by_place["luggage"]


def without(text, **case):
    found = load(**case)
    assert (found.feasible, found.puts, found.mass_kg, found.over_kg) == (False, (), 0, 0)
    assert any(text in reason for reason in found.reasons), found.reasons


def test_why_there_is_no_loading():
    without("the stock holds 100 kg, 328 kg are needed", stock=[Piece(key="bag", mass_kg=20, count=5)])
    without("the places may carry 200 kg, 328 kg are needed", places=[place("floor", 2000, most=200)])
    without("heavier than allowed in all", most_kg=329)
    without("the front axle would be over its rating", axles=replace(CAR, front_rating_kg=1210))
    without("the rear axle would be over its rating", axles=replace(CAR, rear_rating_kg=1100))
    without(
        "the places may not carry that much",
        target=90,
        stock=STOCK[:1],
        places=[place("a", 1300, most=50), place("b", 1300, most=50)],
    )
    without(
        "several limits together",
        axles=replace(CAR, front_rating_kg=1205, rear_rating_kg=1100),
    )


def brute_force(target, stock, places):
    """Every loading of a small case: least mass, then least worst difference, then lowest."""
    ranges = [range(piece.count + 1) for piece in stock for _ in places]
    best = None
    for counts in product(*ranges):
        rows = [counts[n * len(places) : (n + 1) * len(places)] for n in range(len(stock))]
        if any(sum(row) > piece.count for row, piece in zip(rows, stock, strict=True)):
            continue
        loads = [sum(r[p] * s.mass_kg for r, s in zip(rows, stock, strict=True)) for p in range(len(places))]
        if sum(loads) < target or any(kg > spot.most_kg for kg, spot in zip(loads, places, strict=True)):
            continue
        worst = max(abs(kg - spot.share_kg) for kg, spot in zip(loads, places, strict=True))
        rank = (sum(loads), worst, sum(kg * spot.height_mm for kg, spot in zip(loads, places, strict=True)))
        best = rank if best is None else min(best, rank)
    return best


@settings(max_examples=40, deadline=None)
@given(
    target=st.integers(min_value=0, max_value=160),
    counts=st.tuples(st.integers(min_value=0, max_value=3), st.integers(min_value=0, max_value=3)),
    shares=st.tuples(*[st.integers(min_value=0, max_value=80)] * 2),
    most=st.tuples(*[st.sampled_from([50, 75, 120])] * 2),
    heights=st.tuples(*[st.integers(min_value=400, max_value=900)] * 2),
)
def test_small_cases_equal_trying_every_loading(target, counts, shares, most, heights):
    stock = [Piece(key=str(kg), mass_kg=kg, count=n) for kg, n in zip((20, 25), counts, strict=True)]
    places = [place(str(n), 1500 + 500 * n, height=heights[n], share=shares[n], most=most[n]) for n in range(2)]
    found = load(target, stock=stock, places=places)
    best = brute_force(target, stock, places)
    assert found.feasible == (best is not None)
    if best is not None:
        loads = [found.by_place[spot.key] for spot in places]
        worst = max(abs(kg - spot.share_kg) for kg, spot in zip(loads, places, strict=True))
        height = sum(kg * spot.height_mm for kg, spot in zip(loads, places, strict=True))
        assert (found.mass_kg, worst, height) == pytest.approx(best)
    else:
        assert found.reasons


# Source: NTC load restraint guide, 400 kg: 3138, 1961, 1961, 785 N.
def test_restraint_as_printed():
    held = restraint(mass_kg=400)
    printed = (3138, 1961, 1961, 785)
    assert (held.forward_n, held.sideways_n, held.rearward_n, held.upward_n) == pytest.approx(printed, abs=0.5)
    assert load().restraint["luggage"] == restraint(mass_kg=load().by_place["luggage"])


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: Piece(key="bag", mass_kg=0, count=1), "mass_kg: 0"),
        (lambda: Piece(key="bag", mass_kg=20, count=1.5), "count: 1.5"),
        (lambda: place("a", 9000), "x_mm: 9000"),
        (lambda: place("a", 0, 2000), "y_mm: 2000"),
        (lambda: place("a", 0, height=-1), "height_mm: -1"),
        (lambda: place("a", 0, share=-1), "target_kg: -1"),
        (lambda: place("a", 0, most=float("nan")), "target_kg: nan"),
        (lambda: load(-1), "target_kg: -1"),
        (lambda: load(most_kg=-1), "most_kg: -1"),
        (lambda: load(axles=replace(CAR, wheelbase_mm=0)), "wheelbase_mm: 0"),
        (lambda: load(axles=replace(CAR, front_kg=0)), "front_axle_kg: 0"),
        (lambda: load(axles=replace(CAR, rear_kg=0)), "rear_axle_kg: 0"),
        (lambda: load(stock=[]), "stock: none is outside one or more, each key once"),
        (lambda: load(places=[SEATS[0]] * 2), "places: front left, front left is outside"),
        (lambda: restraint(mass_kg=-1), "mass_kg: -1"),
    ],
)
def test_what_cannot_be_is_refused(call, named):
    with pytest.raises(CalculationError, match=named):
        call()
