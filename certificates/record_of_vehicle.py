"""What of the record speaks of the vehicle: as presented, as certified, and who presents the paper."""

from jobs.models import Workshop
from testing.triage import decision
from vehicles.calculations import ranges

_WORDS = (
    *("make", "model", "built_year", "vin", "chassis_number", "plate", "plate_state"),
    *("adr_category", "fuel", "tyre", "esc"),
)
_HOUSE = ("name", "address", "phone", "abn")


def vehicle_of(vehicle):
    """The facts as they were presented."""
    facts = {name: getattr(vehicle, name) for name in (*_WORDS, *ranges.VEHICLE)}
    if facts["market_value_aud"] is not None:
        facts["market_value_aud"] = f"{facts['market_value_aud']:.2f}"
    return {"name": vehicle.name, **facts}


def certified_of(job):
    """What the vehicle is after its modifications, as far as the signed triage and the file know it."""
    signed = decision.signed(job)
    if signed is None:
        return None
    tyres = [mod.values.get("to") for mod in job.vehicle.modifications.filter(kind="tyre_change")]
    return {
        "rise_mm": signed.results["height"].get("total_mm"),
        # Measured as it stands now: the file asks for the dimensions as presented.
        "overall_height_mm": job.vehicle.overall_height_mm,
        "tyre": next((size for size in reversed(tyres) if size), job.vehicle.tyre),
        "seats": signed.results["category"].get("seats"),
    }


def workshop_of():
    """The house that issues, as its settings are now; empty while nobody entered any."""
    now = Workshop.current()
    return {name: getattr(now, name) for name in _HOUSE if getattr(now, name)}
