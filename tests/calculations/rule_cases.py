"""For every entry of every edition, a case that it decides. A new entry needs a new case here."""

from tests.calculations.cases import lift
from vehicles.calculations.modifications import KINDS

BODY, TRACK, TYRE = "body_lift", "track_change", "tyre_change"


def body(mm):
    return {"kind": BODY, "lift_mm": mm}


def track(front_mm):
    return {"kind": TRACK, "front_mm": front_mm, "rear_mm": 0}


def tyres(size):
    return {"kind": TYRE, "to": size}


def need(code):
    return lambda done: done.requirement(code).need


def says(code, words):
    return lambda done: any(words in reason.text for reason in done.requirement(code).reasons)


def cites(code, words):
    return lambda done: any(words in reason.source for reason in done.requirement(code).reasons)


def title(code):
    return lambda done: done.requirement(code).title


def there(code):
    return lambda done: any(line.code == code for line in done.requirements)


def section_3(done):
    return next(cone.y_m for cone in done.course.cones if cone.section == 3 and cone.side == "right")


# name of the number: modifications, changes to the case, what is looked at, what it comes to.
FOUR_T = {"gvm_kg": 3500}
FEWER = {"kind": "seating_change", "seats": 5}
WEIGHED = {"adr_category": "MC", "gvm_kg": 3050, "seats": 7, "fuel_level": 1}
HALF_LOAD_350 = {**WEIGHED, "empty_mass_kg": 2350, "front_axle_kg": 1200, "rear_axle_kg": 1150}
HALF_LOAD_330 = {**WEIGHED, "empty_mass_kg": 2390, "front_axle_kg": 1220, "rear_axle_kg": 1170}
NATIONAL_NUMBERS = {
    # FACTS 1 [2nd]: up to and including 3,500 kg.
    "lt2.gvm_limit_kg": ([lift(80)], FOUR_T, need("LT2"), "required"),
    # FACTS 4 [practice]: 68 kg for each of 5 seats, the driver's 80 kg counted in.
    "seat.occupant_kg": ([], {}, lambda done: done.masses.seat_ballast_kg, 260),
    # FACTS 4 [practice]: some states 7 kg for each of 5 seats.
    "seat.luggage_kg": ([], {"jurisdiction": "TAS"}, lambda done: done.masses.luggage_ballast_kg, 35),
    # FACTS 4 [practice]: a driver of more than 68 kg.
    "driver.minimum_kg": ([], {"crew": {"driver_kg": 60}}, lambda done: done.masses.driver_ballast_kg, 8),
    # FACTS 4 [practice] and 5 [pub]: from 40 to 90 % of 87 L at 840, 740 and 530 kg/m³.
    "fuel.fraction": ([], {}, lambda done: round(done.masses.fuel_added_kg, 3), 36.54),
    "fuel.diesel_kg_per_m3": ([], {}, lambda done: round(done.masses.fuel_added_kg, 3), 36.54),
    "fuel.petrol_kg_per_m3": ([], {"fuel": "petrol"}, lambda done: round(done.masses.fuel_added_kg, 3), 32.19),
    "fuel.lpg_kg_per_m3": ([], {"fuel": "lpg"}, lambda done: round(done.masses.fuel_added_kg, 3), 23.055),
    # FACTS 4 [practice]: 110 for MA, MB, MC, 100 for all others; first at or below 80, 60 for high lifts; steps of 10.
    "speed.target_passenger_kmh": ([], {}, lambda done: done.speeds.target_kmh, 110),
    "speed.target_other_kmh": ([], {"adr_category": "NA"}, lambda done: done.speeds.target_kmh, 100),
    "speed.first_max_kmh": ([], {}, lambda done: done.speeds.first_max_kmh, 80),
    "speed.first_max_high_lift_kmh": ([lift(120)], {}, lambda done: done.speeds.first_max_kmh, 60),
    "speed.step_kmh": ([], {}, lambda done: done.speeds.ladder_kmh, (80, 90, 100, 110)),
    # Our assumption, [practice] speaks of high lifts without a number.
    "speed.high_lift_mm": ([lift(100)], {}, lambda done: done.speeds.first_max_kmh, 80),
    # FACTS 4 [practice]: at most 3 m/s.
    "wind.limit_mps": ([], {}, lambda done: done.as_dict()["limits"]["wind_mps"], 3),
    # FACTS 4 [2+] offset, [memory 80] datum.
    "course.offset_m": ([], {}, section_3, 3.5),
    "course.datum": ([], {}, section_3, 3.5),
    # FACTS 2 [memory 93]: goods if 5 × 68 = 340 kg is less than half of (3,050 kg less unladen), strictly.
    "category.goods_factor": ([FEWER], HALF_LOAD_350, lambda done: done.category.code, "NA"),
    "category.seat_kg": ([FEWER], HALF_LOAD_330, lambda done: done.category.code, "MC"),
}
NSW, QLD, SA, VIC, WA, TAS = ({"jurisdiction": name} for name in ("NSW", "QLD", "SA", "VIC", "WA", "TAS"))
JURISDICTION_NUMBERS = {
    # FACTS 1 [practice]: NSW, more than 75 mm above original; any body lift, up to 50 mm; 13.6 kg luggage a seat.
    ("NSW-2016-11", "lt2.total_rise_mm"): ([lift(75.1)], NSW, need("LT2"), "required"),
    ("NSW-2016-11", "lt2.body_lift_mm"): ([body(0.1)], NSW, need("LT2"), "required"),
    ("NSW-2016-11", "certified.body_mm"): ([body(50.1)], NSW, need("REDUCTION"), "required"),
    ("NSW-2016-11", "seat.luggage_kg"): ([], NSW, lambda done: done.masses.luggage_ballast_kg, 68),
    # FACTS 1 [2nd]: NSW manual: ±50 mm suspension, ±7 % diameter, 75 mm in total with at most 50 mm diameter.
    ("NSW-2016-11", "uncertified.suspension_mm"): ([lift(50.1)], NSW, need("RIDE_HEIGHT"), "required"),
    ("NSW-2016-11", "uncertified.tyre_percent"): ([tyres("285/70R17")], NSW, need("RIDE_HEIGHT"), "required"),
    ("NSW-2016-11", "uncertified.total_mm"): (
        [lift(40), tyres("275/70R17"), body(20)], NSW, need("RIDE_HEIGHT"), "required",
    ),
    ("NSW-2016-11", "uncertified.tyre_diameter_mm"): (
        [lift(20), tyres("265/75R17")], NSW, need("RIDE_HEIGHT"), "required",
    ),
    # FACTS 1 [pub]: Queensland: uncertified 75 (suspension 50, tyre 25, no block); certified 150 = 75 + 25 + 50.
    ("QLD-2018-10", "uncertified.total_mm"): ([lift(75.1)], QLD, says("RIDE_HEIGHT", "Overall rise 75.1"), True),
    ("QLD-2018-10", "uncertified.suspension_mm"): ([lift(50.1)], QLD, need("RIDE_HEIGHT"), "required"),
    ("QLD-2018-10", "uncertified.tyre_mm"): ([tyres("285/70R17")], QLD, need("RIDE_HEIGHT"), "required"),
    ("QLD-2018-10", "uncertified.body_mm"): ([body(0.1)], QLD, need("RIDE_HEIGHT"), "required"),
    ("QLD-2018-10", "certified.total_mm"): ([lift(150.1)], QLD, says("REDUCTION", "Overall rise 150.1"), True),
    ("QLD-2018-10", "certified.suspension_mm"): ([lift(75.1)], QLD, need("REDUCTION"), "required"),
    ("QLD-2018-10", "certified.tyre_mm"): ([tyres("285/70R17")], QLD, need("REDUCTION"), "required"),
    ("QLD-2018-10", "certified.body_mm"): ([body(50.1)], QLD, need("REDUCTION"), "required"),
    # FACTS 1: South Australia: diameter ±15 mm [2nd], track +26 mm, a third of travel, 100 mm clearance [pub].
    ("SA-FOUND", "uncertified.tyre_diameter_mm"): ([tyres("265/70R17")], SA, need("RIDE_HEIGHT"), "required"),
    ("SA-FOUND", "uncertified.track_mm"): ([track(26.1)], SA, need("RIDE_HEIGHT"), "required"),
    ("SA-FOUND", "uncertified.travel_lost_percent"): ([lift(20)], SA, says("TRAVEL_LEFT", "at most 33.3 %"), True),
    ("SA-FOUND", "uncertified.clearance_mm"): ([lift(20)], SA, says("CLEARANCE", "at least 100 mm"), True),
    # FACTS 1 [2nd]: Victoria: 75 mm with at most 50 mm suspension, two thirds of travel kept, commercial kit.
    ("VIC-2011-10", "uncertified.total_mm"): ([body(75.1)], VIC, need("RIDE_HEIGHT"), "required"),
    ("VIC-2011-10", "uncertified.suspension_mm"): ([lift(50.1)], VIC, need("RIDE_HEIGHT"), "required"),
    ("VIC-2011-10", "uncertified.travel_lost_percent"): ([lift(20)], VIC, says("TRAVEL_LEFT", "at most 33.3 %"), True),
    # FACTS 1 [pub]: Western Australia: track beyond +25 mm.
    ("WA-FOUND", "uncertified.track_mm"): ([track(25.1)], WA, need("RIDE_HEIGHT"), "required"),
}  # fmt: skip
# FACTS 1 [2nd]: VSB 14, where the height of the centre of mass, or its longitudinal place, changes significantly.
DISCRETIONARY = {
    "suspension_lift": lift(40),
    "suspension_lowering": {"kind": "suspension_lowering", "front_mm": 40, "rear_mm": 40},
    BODY: body(20),
    TYRE: tyres("285/70R17"),
    "body_change": {"kind": "body_change"},
    "wheelbase_change": {"kind": "wheelbase_change", "change_mm": 300},
    "roof_load": {"kind": "roof_load", "mass_kg": 60, "height_mm": 2000},
    "fixed_load": {"kind": "fixed_load", "mass_kg": 60, "x_mm": -600, "height_mm": 700},
}
# FACTS 1 [practice]: NSW, the certifier's discretion.
NSW_DISCRETIONARY = {
    "wheelbase_change": (DISCRETIONARY["wheelbase_change"], "for extended wheelbase"),
    "steering_change": ({"kind": "steering_change"}, "for changed steering design"),
}
# FACTS 3 [pub, 2nd]: the list of sections and codes; which kind falls under which is ours.
CODES = {
    "LA": "engine_change", "LB": "engine_change", "LM": "engine_change", "LG": "brake_change", "LH": "body_change",
    "LH3/LH4": "wheelbase_change", "LK": "seating_change", "LO": "gvm_upgrade", "LS": "steering_change",
    "LS3/LS4": "suspension_lift", "LS5/LS6": "suspension_lowering", "LS9/LS10": "body_lift",
    "LT1": "body_change", "LT3": "engine_change", "LT4": "engine_change",
}  # fmt: skip
# Common practice, no published source: what is collected.
EVIDENCE = {
    "PHOTOS": "steering_change", "RECEIPTS": "fixed_load", "KIT_APPROVAL": "gvm_upgrade",
    "WHEEL_ALIGNMENT": "track_change", "WEIGHBRIDGE": "body_change", "INSURANCE": "body_lift",
    "OVERALL_WIDTH": "body_lift", "DRIVER_STATEMENT": "body_lift", "INSPECTION_SHEET": "brake_change",
    "RIDE_HEIGHTS": "suspension_lift", "TRAVEL_LEFT": "suspension_lift", "TYRES_AND_RIMS": "tyre_change",
    "ENGINE_PAPERS": "engine_change", "BRAKE_PAPERS": "brake_change", "STRUCTURE": "body_change",
    "WHEELBASE_SIDES": "wheelbase_change", "SEAT_PAPERS": "seating_change", "EMISSIONS_RESULT": "engine_change",
    "NOISE_RESULT": "engine_change",
}  # fmt: skip
OWN_EVIDENCE = {
    # FACTS 1 [pub]: South Australia; [2nd]: Victoria.
    ("SA-FOUND", "TRAVEL_LEFT"): (SA, title("TRAVEL_LEFT"), "Suspension travel lost at each axle"),
    ("SA-FOUND", "CLEARANCE"): (SA, there("CLEARANCE"), True),
    ("VIC-2011-10", "TRAVEL_LEFT"): (VIC, title("TRAVEL_LEFT"), "Suspension travel lost at each axle"),
    ("VIC-2011-10", "KIT_APPROVAL"): (VIC, title("KIT_APPROVAL"), "Papers of the commercial kit"),
}


def _all():
    national = "AU-VSB14"
    for name, row in NATIONAL_NUMBERS.items():
        yield (national, "thresholds", name), row
    for (edition, name), row in JURISDICTION_NUMBERS.items():
        yield (edition, "thresholds", name), row
    for kind, item in DISCRETIONARY.items():
        yield (national, "discretionary", kind), ([item], TAS, need("LT2"), "discretionary")
    for kind, (item, words) in NSW_DISCRETIONARY.items():
        yield ("NSW-2016-11", "discretionary", kind), ([item], NSW, cites("LT2", words), True)
    for code, kind in CODES.items():
        yield (national, "codes", code), ([{"kind": kind}], TAS, there(code), True)
    for key, kind in EVIDENCE.items():
        yield (national, "evidence", key), ([{"kind": kind}], TAS, there(key), True)
    for (edition, key), (where, look, expected) in OWN_EVIDENCE.items():
        yield (edition, "evidence", key), ([lift(20)], where, look, expected)


CASES = dict(_all())
assert set(CODES.values()) | set(EVIDENCE.values()) <= set(KINDS)
