"""Pricing a job: the lines that its triage requires, and where low and high come from."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.estimates.compute import price
from jobs.models import PriceBookEdition
from jobs.workshop import prices
from testing.estimate import scope_for
from testing.models import SignedTriage
from tests.factories import JobFactory
from vehicles.models import Vehicle

pytestmark = pytest.mark.django_db


def sign(job, by, **needs):
    lines = [{"code": code, "need": need} for code, need in needs.items()]
    SignedTriage.objects.create(job=job, by=by, inputs={}, overrides=[], results={"requirements": lines})


def keys(priced):
    return [line["key"] for line in priced.lines]


# Source: common practice, no published source: usual price of a lane-change test 2,000 to 2,500 AUD.
def test_a_typical_lane_change_costs_what_it_usually_does(job):
    result = price(job).result
    assert Decimal(2000) <= result.low_aud <= result.likely_aud <= result.high_aud <= Decimal(2500)


# Source: GST = inclusive price / 11.
def test_gst_is_an_eleventh_of_the_likely_total(job):
    result = price(job).result
    assert abs(result.gst_aud - result.likely_aud / 11) <= Decimal("0.005")


def test_unsigned_it_prices_what_may_still_be_required_and_says_so(job):
    priced = price(job)
    assert "track" in keys(priced)
    assert not priced.scope.signed
    assert "has not signed yet" in " ".join(priced.missing)


def test_signed_it_prices_what_was_signed(job, engineer):
    sign(job, engineer, LT2="not_required", DRIVING_REPORT="required")
    priced = price(job)
    assert set(keys(priced)) == {"drive", "travel", "report", "insurance"}
    assert engineer.full_name in priced.scope.basis
    assert priced.missing == ()


def test_without_a_test_only_the_report_is_charged_and_nothing_is_spread_by_weather(job, engineer):
    sign(job, engineer, LT2="not_applicable", DRIVING_REPORT="not_required")
    priced = price(job)
    assert keys(priced) == ["report"]
    assert [cause["cause"] for cause in priced.spread] == ["Prices"]


def test_prices_and_weather_add_up_to_the_totals(job):
    priced = price(job)
    causes = {cause["cause"]: cause for cause in priced.spread}
    assert set(causes) == {"Prices", "Weather", "Retest"}
    high = Decimal(causes["Prices"]["high"]) + Decimal(causes["Weather"]["high"])
    assert high == priced.result.high_aud
    low = Decimal(causes["Prices"]["low"]) + Decimal(causes["Weather"]["low"])
    assert low == priced.result.low_aud
    kept = sum(Decimal(line["likely"]) for line in priced.lines) - Decimal(causes["Weather"]["likely"])
    assert kept == 600 + 680 + 160 + 95 + 330 + 285


def test_weather_by_hand(job):
    # By hand from fixtures/price_book.json: 0.3 called-off mornings expected, 38,000 AUD insured at 0.75 %:
    # 0.3 × (25 % of 600 + 10 % of 680 + 50 % of 95 + 10 % of 285) = 0.3 × 294 = 88.20 likely, and
    # one whole morning of 25 % of 610 + 10 % of 690 + 50 % of 98 + 10 % of 296.40 = 300.14 high; low, none.
    [weather] = [cause for cause in price(job).spread if cause["cause"] == "Weather"]
    assert (weather["low"], weather["likely"], weather["high"]) == ("0.00", "88.20", "300.14")


def test_a_morning_called_off_is_a_cause_of_its_own(job, monkeypatch):
    before = price(job)
    monkeypatch.setattr("testing.scheduling.postponements.paid_again", lambda job: 1)
    after = price(job)
    causes = {cause["cause"]: cause for cause in after.spread}
    assert causes["Prices"] == before.spread[0]
    assert causes["Called off so far"]["text"].startswith("One morning was called off")
    for name in ("low", "high"):
        parts = [Decimal(causes[cause][name]) for cause in ("Prices", "Called off so far", "Weather")]
        assert sum(parts) == getattr(after.result, f"{name}_aud")
    assert after.result.low_aud > before.result.low_aud


def test_once_the_test_is_driven_no_weather_is_told_of(job, monkeypatch):
    before = price(job)
    monkeypatch.setattr("testing.estimate._so_far", lambda job: {"driven": 1})
    after = price(job)
    assert [cause["cause"] for cause in after.spread] == ["Prices", "Retest"]
    prices = after.spread[0]
    assert (Decimal(prices["low"]), Decimal(prices["high"])) == (after.result.low_aud, after.result.high_aud)
    assert after.result.high_aud < before.result.high_aud


def test_the_most_retests_are_priced_and_no_further_one_is_offered(job):
    assert "Retest" not in [cause["cause"] for cause in price(job, retests=10).spread]


def test_lines_keep_the_share_that_is_paid_again(job):
    shares = {line["key"]: line["again"] for line in price(job, retests=1).lines}
    assert (shares["track"], Decimal(shares["report"])) == ("0.25", 0)


def test_a_retest_by_hand(job):
    # 60 % of everything but the report, instruments with it. Likely:
    # 0.6 × (600 + 680 + 160 + 95 + 285 + 88.20) = 1,144.92.
    likely = price(job, retests=1).result.likely_aud - price(job).result.likely_aud
    assert likely == Decimal("1144.92")


def test_without_a_market_value_the_insurance_is_named_as_missing(job):
    Vehicle.objects.filter(pk=job.vehicle_id).update(market_value_aud=None)
    job.refresh_from_db()
    priced = price(job)
    assert "insurance" not in keys(priced)
    assert "market value" in priced.missing[0]


def test_contradicting_facts_are_not_priced(job):
    Vehicle.objects.filter(pk=job.vehicle_id).update(front_axle_kg=2900, empty_mass_kg=1000)
    job.refresh_from_db()
    assert scope_for(job) is None
    assert price(job) is None


def edition(name, first, last):
    data = {**PriceBookEdition.objects.last().data, "edition": name, "valid_from": str(first), "valid_to": str(last)}
    return prices.add(data=data, by=None)


def test_the_edition_of_the_day_counts_and_of_two_the_later_added():
    today = timezone.localdate()
    now = edition("now", today, today + timedelta(days=30))
    edition("next", today + timedelta(days=31), today + timedelta(days=60))
    assert prices.in_force() == now
    later = edition("now, mended", today, today + timedelta(days=30))
    assert prices.in_force() == later
    assert prices.out_of_date(later) == ""


def test_out_of_date_prices_are_used_and_called_so(db):
    old = edition("long ago", date(2001, 1, 1), date(2001, 12, 31))
    assert prices.in_force(date(2002, 6, 1)) == old
    assert "holds from 1 Jan 2001" in prices.out_of_date(old, date(2002, 6, 1))


@pytest.mark.parametrize("gvm", [3500.0, 3501.0])
def test_above_3500_kg_a_driving_report_is_priced_instead(gvm):
    found = keys(price(JobFactory(vehicle__gvm_kg=gvm, vehicle__adr_category="NA" if gvm <= 3500 else "NB1")))
    assert ("track" in found) is (gvm <= 3500)
    assert ("drive" in found) is (gvm > 3500)


def shown_everywhere(as_, desk, job):
    """What every page says a job comes to: first look, work-up, what-if, and the estimate."""
    pages = {name: as_(desk).get(f"/jobs/{job.number}/{name}/") for name in ("first-look", "work-up", "estimate")}
    asked = as_(desk).get(f"/jobs/{job.number}/what-if/", {"front_mm": "50", "rear_mm": "50", "to": "285/70R17"})
    return {
        "first look": pages["first-look"].context["estimate"]["likely_aud"],
        "work-up": pages["work-up"].context["work_up"]["estimate"]["likely_aud"],
        "what-if": float(asked.context["comparison"].now.estimate.likely_aud),
        "estimate": float(pages["estimate"].context["priced"].result.likely_aud),
    }


def test_every_page_prices_from_the_edition_in_force(as_, desk, job):
    before = shown_everywhere(as_, desk, job)
    assert len(set(before.values())) == 1
    data = {**PriceBookEdition.objects.last().data}
    data["lines"] = [
        {**line, **{f"{price}_aud": str(Decimal(line[f"{price}_aud"]) + 100) for price in ("low", "likely", "high")}}
        if line["key"] == "report"
        else line
        for line in data["lines"]
    ]
    today = timezone.localdate()
    prices.add(data={**data, "edition": "dearer", "valid_from": str(today), "valid_to": str(today)}, by=None)
    after = shown_everywhere(as_, desk, job)
    assert set(after.values()) == {before["estimate"] + 100}
    assert "dearer" in as_(desk).get(f"/jobs/{job.number}/work-up/").content.decode()


def test_the_work_up_costs_what_was_signed(as_, desk, engineer, job):
    sign(job, engineer, LT2="not_required", DRIVING_REPORT="required")
    page = as_(desk).get(f"/jobs/{job.number}/work-up/")
    priced = price(job).result
    assert page.context["work_up"]["estimate"]["likely_aud"] == float(priced.likely_aud)
    [gst] = [line for line in page.context["work_up"]["working"] if line["quantity"] == "GST in the likely total"]
    assert gst["value"] == float(priced.gst_aud)


def test_every_page_counts_the_mornings_called_off(as_, desk, job, monkeypatch):
    before = shown_everywhere(as_, desk, job)
    monkeypatch.setattr("testing.scheduling.postponements.paid_again", lambda job: 2)
    after = shown_everywhere(as_, desk, job)
    # By hand, each: 25 % of 600 + 10 % of 680 + 50 % of 95 + 10 % of 285.
    assert set(after.values()) == {before["estimate"] + 2 * 294}
