"""The work-up of a job: the same functions as `manage.py workup`, fed from the records."""

from jobs.workshop import prices
from testing.scheduling import gear
from testing.triage.editions import rule_set_for
from vehicles.calculations.errors import CaseError
from vehicles.calculations.resulting import resulting_category
from vehicles.calculations.workup import work_up
from vehicles.case import case_data, case_for


def crew_data(job):
    """Who and what rides along, as far as it is booked."""
    booking = job.bookings.filter(cancelled_at=None).select_related("driver").first()
    if booking is None:
        return {}
    aboard_kg = sum(one.mass_kg or 0 for one in booking.instruments.all())
    found = {"driver_kg": booking.driver.mass_kg, "instruments_kg": aboard_kg or None}
    return {name: kg for name, kg in found.items() if kg is not None}


def inputs_of(job):
    """The case of a job as data: what a signed paper keeps."""
    return case_data(job.vehicle, jurisdiction=job.jurisdiction, crew=crew_data(job))


def work_up_of(job):
    """The whole work-up as data. Raises CaseError when the records contradict each other."""
    case = case_for(job.vehicle, jurisdiction=job.jurisdiction, crew=crew_data(job))
    rules = rule_set_for(job.jurisdiction)
    return work_up(case, rules=rules, prices=prices.book(), stock=gear.own_stock()).as_dict()


def gvm_of(job):
    """The GVM after all modifications [kg]; as rated where the records contradict each other."""
    try:
        case = case_for(job.vehicle, jurisdiction=job.jurisdiction)
    except CaseError:
        return job.vehicle.gvm_kg
    return resulting_category(case, rules=rule_set_for(job.jurisdiction)).gvm_kg
