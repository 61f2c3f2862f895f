"""What the work-up says of the site, the set-out, the speedometer and the tyres under load."""

import pytest

from tests.calculations.measured_cases import worked
from vehicles.calculations.course import lay_out
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.sheet import sheet
from vehicles.calculations.site_needs import site_needs
from vehicles.calculations.speedometer import speedometer
from vehicles.calculations.tyres import compare, read_tyre

BRAKES = {"kind": "brake_change"}
TYRES = {"kind": "tyre_change", "to": "285/70R17"}


def test_the_site_takes_run_up_course_and_run_off():
    needs = worked(BRAKES).site
    # Source: AASHTO stopping distance at 110 km/h 213.7 m, and 20 m of margin; run-up at 1.5 m/s² 311.2 m.
    assert needs.run_up_m == pytest.approx(311.2, abs=0.05)
    assert needs.run_off_m == pytest.approx(213.7 + 20, abs=0.05)
    assert needs.length_m == pytest.approx(needs.run_up_m + 125 + needs.run_off_m)
    assert needs.area_m2 == pytest.approx(needs.length_m * needs.width_m)
    assert worked(BRAKES).as_dict()["site"]["speed_kmh"] == 110


def test_without_width_or_category_the_site_is_undecided():
    assert worked(BRAKES, overall_width_mm=None).site is None
    bare = worked(BRAKES, adr_category=None)
    assert bare.site is None and "overall width and category decide it" in sheet(bare)


def test_a_speed_out_of_range_is_refused():
    with pytest.raises(CalculationError, match="speed_kmh"):
        site_needs(course=lay_out(width_mm=1885), speed_kmh=300)


def test_the_set_out_sheet_is_that_of_the_course():
    data = worked(BRAKES).as_dict()
    assert [(m["station_m"], m["limit_m"]) for m in data["set_out"]["marks"]] == [
        (c["x_m"], c["y_m"]) for c in data["course"]["cones"]
    ]
    assert len(data["set_out"]["diagonals"]) == 8
    assert worked(BRAKES, overall_width_mm=None).as_dict()["set_out"] is None


def test_the_speedometer_shows_less_on_larger_tyres():
    # By hand: 776.3 and 830.8 mm: 100 × 830.8 / 776.3 = 107.02; 110 × 776.3 / 830.8 = 102.78.
    found = worked(TYRES).speedometer
    assert found.true_at_100_kmh == pytest.approx(107.02, abs=0.005)
    assert found.ladder[-1].shown_kmh == pytest.approx(102.78, abs=0.005)
    assert "Speedometer at 110 km/h shows 102.8 km/h" in sheet(worked(TYRES))
    assert worked(BRAKES).speedometer is None


def test_speeds_of_the_speedometer_are_checked():
    change = compare(before=read_tyre("265/65R17"), after=read_tyre("285/70R17"))
    with pytest.raises(CalculationError, match="speed_kmh"):
        speedometer(change=change, speeds_kmh=[400])


@pytest.mark.parametrize(("tyre", "told"), [("265/65R17 91S", True), ("265/65R17 112S", False), (None, False)])
def test_tyres_are_held_against_what_the_axle_carries(tyre, told):
    # Source: load index table: 91 is 615 kg, two of them 1,230 kg; 112 is 1,120 kg, two of them 2,240 kg.
    done = worked(BRAKES, tyre=tyre, front_axle_rating_kg=None, rear_axle_rating_kg=None)
    said = [text for text in done.cautions if text.startswith("Two tyres may carry 1,230 kg")]
    assert bool(said) is told


def test_without_places_the_empty_axle_is_held_against_the_tyres():
    done = worked(BRAKES, tyre="265/65R17 80S", places=None, rows=None)
    # Source: the same table: 80 is 450 kg, two of them 900 kg, against 1,150 kg weighed empty.
    assert any("the front axle carries 1,150.0 kg" in text for text in done.cautions)


def test_the_tyres_now_fitted_count():
    done = worked({"kind": "tyre_change", "to": "285/70R17 80S"})
    assert any(text.startswith("Two tyres may carry 900 kg") for text in done.cautions)
