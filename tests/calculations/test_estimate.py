import copy
import json
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vehicles.calculations.errors import CalculationError, CaseError
from vehicles.calculations.estimate import PriceBook, estimate

BOOK_FILE = Path(__file__).parents[2] / "fixtures" / "price_book.json"
DATA = json.loads(BOOK_FILE.read_text())
BOOK = PriceBook.from_data(DATA)


def lane_change(**changes):
    return estimate(**{"prices": BOOK, "needs_lane_change": True, "market_value_aud": 38_000} | changes)


# Source: common practice, no published source: usual price of a lane-change test 2,000 to 2,500 AUD.
def test_a_typical_lane_change_test_costs_what_it_usually_does():
    found = lane_change()
    assert Decimal(2000) <= found.low_aud <= found.likely_aud <= found.high_aud <= Decimal(2500)


# Source: GST = inclusive price / 11.
@given(value=st.floats(min_value=0, max_value=5_000_000))
def test_gst_is_an_eleventh_of_the_inclusive_total(value):
    found = lane_change(market_value_aud=value)
    assert abs(found.gst_aud - found.likely_aud / 11) <= Decimal("0.005")


def test_totals_add_up_from_lines_by_hand():
    # By hand with one booking: 600 + 680 + 160 + 95 + 330 + 0.75 % of 40,000.
    found = lane_change(market_value_aud=40_000, bookings_expected=1)
    assert found.likely_aud == Decimal("2165.00")
    assert found.gst_aud == Decimal("196.82")
    # By hand with two bookings: again 25 % of 600, 10 % of 680, 50 % of 95, 10 % of 300.
    twice = lane_change(market_value_aud=40_000, bookings_expected=2)
    assert twice.likely_aud - found.likely_aud == Decimal("150") + 68 + Decimal("47.5") + 30
    assert twice.low_aud == found.low_aud
    # By hand from the high prices, again 25 % of 610, 10 % of 690, 50 % of 98, 10 % of 312: twice as many as
    # expected, against the one whole morning that the high total always holds.
    once = Decimal("152.50") + 69 + 49 + Decimal("31.20")
    assert twice.high_aud - found.high_aud == once
    assert found.high_aud == 610 + 690 + 164 + 98 + 335 + 312 + once


def test_a_called_off_morning_lies_within_the_range_and_the_usual_price():
    # The likely prices and one whole morning paid again: 2,150 + 150 + 68 + 47.50 + 28.50.
    paid = lane_change(bookings_expected=2).likely_aud
    assert paid == Decimal("2444.00")
    assert paid <= lane_change().high_aud <= Decimal(2500)


@pytest.mark.parametrize("past", [1, 3])
def test_what_was_paid_again_is_certain_in_every_total(past):
    # By hand, for each morning: 145 + 66 + 42.50 + 24.70 of the low prices, 150 + 68 + 47.50 + 28.50 of the
    # likely and 152.50 + 69 + 49 + 29.64 of the high ones.
    before, after = lane_change(), lane_change(postponed=past)
    assert after.low_aud - before.low_aud == past * Decimal("278.20")
    assert after.likely_aud - before.likely_aud == past * Decimal("294.00")
    assert after.high_aud - before.high_aud == past * Decimal("300.14")


def test_without_the_weather_every_total_is_prices_alone():
    # 38,000 AUD insured at 0.65, 0.75 and 0.78 %.
    kept = lane_change(weather=False, bookings_expected=7)
    assert kept.low_aud == 580 + 660 + 155 + 85 + 320 + 247
    assert kept.likely_aud == 600 + 680 + 160 + 95 + 330 + 285
    assert kept.high_aud == 610 + 690 + 164 + 98 + 335 + Decimal("296.40")


def test_a_retest_does_not_pay_again_what_was_paid_again_before():
    assert lane_change(postponed=2, retests=1).lines[-1] == lane_change(retests=1).lines[-1]


def test_no_weather_calls_off_a_day_that_is_over():
    assert lane_change(driven=1).lines == lane_change(weather=False).lines
    first, second, third = (lane_change(retests=2, driven=driven).lines[-1] for driven in (1, 2, 3))
    kept, open_ = (lane_change(retests=1, weather=weather).lines[-1] for weather in (False, True))
    assert first.likely == 2 * open_.likely
    assert second.likely == pytest.approx(kept.likely + open_.likely, abs=Decimal("0.01"))
    assert third == lane_change(retests=2, weather=False).lines[-1]


def test_lines_say_the_share_that_is_paid_again():
    again = {line.key: line.again for line in lane_change(retests=2).lines}
    assert (again["track"], again["report"], again["retest"]) == (Decimal("0.25"), 0, 0)
    notes = [lane_change(retests=count).lines[-1].note for count in (1, 2)]
    assert notes == [
        "one further test day, at 60 % of what a test day costs",
        "2 further test days, each at 60 % of what a test day costs",
    ]


def test_cents_are_whole_and_lines_sum_to_the_totals():
    found = lane_change(market_value_aud=33_333.33)
    for name in ("low", "likely", "high"):
        prices = [getattr(line, name) for line in found.lines]
        assert sum(prices) == getattr(found, f"{name}_aud")
        assert all(price == price.quantize(Decimal("0.01")) for price in prices)


def test_bookings_come_from_the_price_book_unless_the_climatology_knows_better():
    assert lane_change().likely_aud == lane_change(bookings_expected=1.3).likely_aud
    assert lane_change(bookings_expected=3).likely_aud > lane_change().likely_aud


def test_insurance_has_a_least_premium():
    [line] = [line for line in lane_change(market_value_aud=5_000).lines if line.key == "insurance"]
    assert line.low == Decimal("200.00")


def test_without_a_market_value_the_insurance_is_named_as_missing():
    found = lane_change(market_value_aud=None)
    assert "insurance" not in {line.key for line in found.lines}
    assert found.undecided == ("market_value_aud: needed for the insurance, which is not in the totals",)
    assert lane_change().undecided == ()


def test_a_driving_report_has_its_own_lines():
    found = lane_change(needs_lane_change=False, needs_driving_report=True)
    assert {line.key for line in found.lines} == {"drive", "travel", "report", "insurance"}


def test_without_a_test_only_the_report_is_charged_and_no_insurance_is_missing():
    found = lane_change(needs_lane_change=False, market_value_aud=None)
    assert {line.key for line in found.lines} == {"report"}
    assert found.undecided == ()


def test_a_market_value_without_a_test_buys_no_insurance():
    assert {line.key for line in lane_change(needs_lane_change=False).lines} == {"report"}


def test_a_retest_costs_its_share_of_a_test_day():
    plain, again = lane_change(), lane_change(retests=1)
    day = sum(line.likely for line in plain.lines if line.key != "report")
    assert again.lines[-1].key == "retest"
    assert again.lines[-1].likely == (day * Decimal("0.60")).quantize(Decimal("0.01"))
    assert again.likely_aud == plain.likely_aud + again.lines[-1].likely


def test_the_estimate_names_its_edition_and_shows_the_working():
    found = lane_change()
    assert found.edition == DATA["edition"]
    assert found.workings[0].value == float(found.gst_aud)


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"market_value_aud": -1}, "market_value_aud: -1"),
        ({"market_value_aud": float("nan")}, "market_value_aud: nan"),
        ({"bookings_expected": 0.5}, "bookings_expected: 0.5"),
        ({"retests": 1.5}, "retests: 1.5"),
        ({"postponed": -1}, "postponed: -1"),
        ({"driven": -1}, "driven: -1"),
    ],
)
def test_values_out_of_range_are_refused(wrong, named):
    with pytest.raises(CalculationError, match=named):
        lane_change(**wrong)


def test_a_market_value_out_of_range_is_refused_even_where_nothing_is_insured():
    with pytest.raises(CalculationError, match="market_value_aud: -5 is outside 0 to 5,000,000 AUD"):
        estimate(prices=BOOK, needs_lane_change=False, market_value_aud=-5)


def changed(path, value):
    data = copy.deepcopy(DATA)
    place = data
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return data


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        (["edition"], " ", "edition: must be text"),
        (["valid_from"], "1 July", "valid_from: '1 July' is not a date"),
        (["valid_to"], "2020-01-01", "valid_to: 2020-01-01 is before valid_from"),
        (["bookings_expected"], 0, "bookings_expected: 0 is not a number from 1 to 20"),
        (["lines"], [], "lines: must be a list with at least one line"),
        (["lines"], {"key": "track"}, "lines: must be a list"),
        (["lines", 0], "track", r"lines\[0\]: must be an object"),
        (["lines", 0, "low_aud"], "NaN", r"lines\[0\].low_aud: 'NaN' is not a number"),
        (["lines", 0, "low_aud"], "many", r"lines\[0\].low_aud: 'many' is not a number"),
        (["lines", 0, "low_aud"], "9999", r"lines\[0\].low_aud: low, likely and high must not fall"),
        (["lines", 0, "for"], [], r"lines\[0\].for: must be a list of always"),
        (["lines", 0, "for"], "always", r"lines\[0\].for: must be a list of always"),
        (["lines", 0, "for"], ["never"], r"lines\[0\].for: must be a list of always"),
        (["lines", 0, "key"], "crew", "lines: key 'crew' stands twice"),
        (["insurance"], None, "insurance: must be an object"),
        (["insurance", "share_low"], "1.2", "insurance.share_low: '1.2' is not a number from 0 to 1"),
        (["retest", "label"], 7, "retest.label: must be text"),
        (["checked_by"], 7, "checked_by: must be text"),
        (["discount"], 7, "discount: unknown key; known are bookings_expected"),
        (["lines", 0, "price"], 7, r"lines\[0\].price: unknown key; known are again"),
    ],
)
def test_a_price_book_that_cannot_be_used_says_where(path, value, said):
    with pytest.raises(CaseError, match=said):
        PriceBook.from_data(changed(path, value))


def test_a_price_book_that_is_no_object_is_refused():
    with pytest.raises(CaseError, match="price book: must be an object"):
        PriceBook.from_data(["track"])


def test_a_checked_price_book_says_by_whom():
    assert PriceBook.from_data(changed(["checked_by"], "the workshop")).checked_by == "the workshop"
    assert BOOK.checked_by is None


def test_every_problem_of_a_price_book_is_told_at_once():
    with pytest.raises(CaseError) as caught:
        PriceBook.from_data({})
    assert {"edition", "valid_from", "lines", "insurance", "retest"} <= {
        problem.path for problem in caught.value.problems
    }
