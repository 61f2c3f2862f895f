"""What the report says of the centre of gravity: never a height without its error, never an estimate as measured."""

from dataclasses import asdict

from django.template.loader import render_to_string

from vehicles.reference import worked_example


def told(stability):
    return render_to_string(
        "certificates/pdf/_stability.html",
        {"up": {"stability": stability, "demand": None, "speeds": {"ladder_kmh": []}}},
    )


def rows(**of_both):
    return {item.mass: asdict(item) | of_both for item in worked_example().stability}


def test_a_measured_height_is_printed_with_its_error():
    text = told(rows(cg_height_mm=751.6, cg_error_mm=12.4))
    assert text.count("752 ± 12 mm") == 2
    assert text.count("from the measured height") == 2


def test_a_record_from_before_the_error_was_kept_prints_no_made_up_one():
    old = rows()
    for item in old.values():
        del item["cg_error_mm"]
    assert "±" not in told(old)


def test_what_was_not_known_is_not_printed():
    assert "Not computed" in told(rows(ssf=None, estimated=None))
