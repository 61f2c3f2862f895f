"""Loading to a test mass: what is to be aboard, what really is, and whether that is the test mass."""

from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from jobs.audit import record
from jobs.refused import Refused
from testing.testday.locking import closed_because, locked
from testing.testday.models import MASSES, Loading
from testing.testday.procedure import SECOND_MASS, lane_change

LONGEST_REASON = Loading._meta.get_field("because").max_length
AXLES = ("front", "rear")
# Place: its name, the mass in the work-up that belongs there, and whether only the second mass has it.
PLACES = {
    "fuel": ("Fuel added", "fuel_added_kg", False),
    "driver": ("Driver", "driver_kg", False),
    "driver_ballast": ("Ballast at the driver’s place", "driver_ballast_kg", False),
    "instruments": ("Instruments", "instruments_kg", False),
    "equipment": ("In place of missing equipment", "missing_equipment_kg", False),
    "seats": ("Seats", "seat_ballast_kg", True),
    "luggage": ("Luggage area", "luggage_ballast_kg", True),
    "goods": ("Goods area", "goods_ballast_kg", True),
}


@dataclass(frozen=True, kw_only=True)
class Planned:
    """What belongs at one place for one mass [kg]."""

    key: str
    title: str
    kg: float


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """Total and target [kg], and every reason why this is not the test mass."""

    total_kg: float
    target_kg: float
    basis: str
    reasons: tuple[str, ...]


def plan(day, mass):
    """Place by place, what is to be loaded for this mass. Empty places are left out."""
    masses = day.work_up["masses"]
    return [
        Planned(key=key, title=title, kg=masses.get(name) or 0.0)
        for key, (title, name, second_only) in PLACES.items()
        if masses.get(name) and (mass == SECOND_MASS or not second_only)
    ]


def limits(day, mass):
    """Target, lowest and highest mass that passes for it [kg]. Nothing is driven above the GVM.

    A signatory signs for the test mass: no published tolerance was found, and a share of it below would let a lighter
    vehicle pass for one that was never tested. So below it there is only what the scales leave open; above it the
    test is the harder one, up to what whole pieces of ballast need.
    """
    masses, told = day.work_up["masses"], lane_change()
    target = masses[f"{mass}_kg"]
    highest = target * (1 + told.limit("mass_above_percent") / 100)
    if masses.get("gvm_kg"):
        highest = min(highest, masses["gvm_kg"])
    return target, target - told.limit("mass_below_kg"), highest


def tolerance():
    """What a loading may be off its target, and where that comes from, as the sheet says it."""
    below, above = (lane_change().limits[name] for name in ("mass_below_kg", "mass_above_percent"))
    return (
        f"Below the target only {below.value:g} kg, above it at most {above.value:g} %, never above the GVM. "
        f"Below: {below.source}. Above: {above.source}."
    )


def judge(day, *, mass, places, front_kg, rear_kg, restrained):
    """Whether what is loaded comes to the test mass: weighed where both axles were, else computed."""
    target, lowest, highest = limits(day, mass)
    weighed = front_kg is not None and rear_kg is not None
    total = front_kg + rear_kg if weighed else _empty_kg(day, mass) + sum(places.values())
    reasons = []
    # Scales print tenths; a sum of floats must not fail a limit by its last binary digit.
    if not lowest - 1e-6 <= total <= highest + 1e-6:
        reasons.append(f"{total:,.1f} kg is not within {lowest:,.1f} to {highest:,.1f} kg")
    reasons += _axles(day, mass, {"front": front_kg, "rear": rear_kg})
    if not weighed:
        reasons += _off_plan(day, mass, places)
    if not restrained:
        reasons.append("the restraint is not confirmed")
    return Verdict(total_kg=total, target_kg=target, basis="weighed" if weighed else "computed", reasons=tuple(reasons))


def _off_plan(day, mass, places):
    """Where nothing is weighed the axles are known by the plan alone: each place has to be about as planned."""
    give = lane_change().limit("place_kg")
    for item in plan(day, mass):
        kg = places.get(item.key, 0.0)
        if abs(kg - item.kg) > give + 1e-6:
            yield f"{item.title.lower()}: {kg:,.1f} kg where {item.kg:,.1f} kg are planned; weigh both axles"


def _empty_kg(day, mass):
    """The vehicle before anything of the plan is aboard, so that the plan itself comes to the target."""
    return day.work_up["masses"][f"{mass}_kg"] - sum(item.kg for item in plan(day, mass))


def ratings(day):
    """What each axle may carry [kg], None where nobody has said."""
    vehicle = day.inputs["vehicle"]
    return {axle: vehicle.get(f"{axle}_axle_rating_kg") for axle in AXLES}


def computed_axles(day, mass):
    """What each axle carries at a test mass as the work-up has it [kg], None where that is undecided."""
    axles = day.work_up["masses"].get("axles") or {}
    return {axle: (axles.get(axle) or {}).get(f"{mass}_kg") for axle in AXLES}


def unrated(day):
    """Axles without a rating on file: nobody has held what they carry against one."""
    return [axle for axle, rating in ratings(day).items() if rating is None]


def _axles(day, mass, weighed):
    computed = computed_axles(day, mass)
    for axle, rating in ratings(day).items():
        kg, how = (weighed[axle], "") if weighed[axle] is not None else (computed[axle], " as computed")
        if kg is not None and rating is not None and kg > rating:
            help_text = "; weigh both axles" if how else ""
            yield f"the {axle} axle carries {kg:,.1f} kg{how}, above its rating of {rating:,.0f} kg{help_text}"


def last_to(day, mass):
    """The last loading to a mass, whether or not it still stands on the wheels."""
    return day.loadings.filter(mass=mass).select_related("by").order_by("loaded_at", "pk").last()


def current(day, at=None):
    """What stands on the wheels now, or stood there at that moment."""
    loadings = day.loadings.filter(loaded_at__lte=at) if at else day.loadings
    return loadings.order_by("loaded_at", "pk").last()


def missing(day, *, mass, at=None):
    """Why runs at this mass wait for the loading, or an empty text."""
    name, loaded = dict(MASSES)[mass], current(day, at)
    if loaded is None:
        return f"The loading to {name} is not recorded."
    if loaded.mass != mass:
        return f"The vehicle is loaded to {loaded.get_mass_display()}: load it to {name} and record that."
    return "" if loaded.met else f"The loading is not {name}: {loaded.because}."


@transaction.atomic
def record_loading(*, day, by, mass, places, front_kg, rear_kg, restrained, sent_as, remark="", loaded_at=None):
    """Write down what was loaded. Kept also when it is not the test mass: then runs go on waiting."""
    day = locked(day)
    if before := Loading.objects.filter(sent_as=sent_as).first():
        if before.day_id != day.pk:
            raise Refused("This form belongs to another test day: reload the day sheet.")
        return before, False
    if reason := closed_because(day):
        raise Refused(reason)
    verdict = judge(day, mass=mass, places=places, front_kg=front_kg, rear_kg=rear_kg, restrained=restrained)
    because = "; ".join(verdict.reasons)
    loading = Loading.objects.create(
        day=day,
        mass=mass,
        places=places,
        front_kg=front_kg,
        rear_kg=rear_kg,
        total_kg=round(verdict.total_kg, 3),
        target_kg=round(verdict.target_kg, 3),
        basis=verdict.basis,
        met=not because,
        because=because[:LONGEST_REASON],
        restrained=restrained,
        remark=remark,
        sent_as=sent_as,
        loaded_at=loaded_at or timezone.now(),
        by=by,
    )
    record(day.booking.job, by, f"Loaded: {loading}", met=loading.met, because=because, places=places)
    return loading, True
