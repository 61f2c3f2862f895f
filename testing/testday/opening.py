"""Opening a test day: from a standing booking and a signed triage to what the crew works from."""

from django.db import transaction

from jobs.audit import record
from jobs.models import Job
from jobs.refused import Refused
from testing.scheduling import go
from testing.scheduling.conditions import conditions
from testing.scheduling.services import standing_booking
from testing.testday.as_booked import as_booked
from testing.testday.models import TestDay
from testing.triage import decision
from testing.triage.canonical import plain
from testing.workup import inputs_of, work_up_of
from vehicles.calculations.errors import CalculationError, CaseError
from vehicles.calculations.weather import NOT_MET

STEP_KEY = "testday"


@transaction.atomic
def open_day(*, job, by):
    """Keep inputs and work-up of this moment for the booked day. Opening twice opens once."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    booking = standing_booking(job)
    _guard(job, booking)
    if day := TestDay.objects.filter(booking=booking).first():
        return day
    day = TestDay.objects.create(
        booking=booking,
        inputs=plain(inputs_of(job)),
        work_up=plain(_complete_work_up(job)),
        booked=as_booked(booking),
        opened_by=by,
    )
    record(job, by, f"Test day opened: {booking}", driver=booking.driver.name)
    return day


def _guard(job, booking):
    if job.stage != STEP_KEY:
        raise Refused(f"{job.number} does not stand at the test day: move it on to there first.")
    if booking is None:
        raise Refused(f"{job.number} has no standing booking: book a site, a time and a driver first.")
    if decision.signed(job) is None:
        raise Refused("The triage is not signed: nothing says yet that this test is needed.")
    if decision.is_stale(job):
        raise Refused("Facts or rules changed since the triage was signed: sign it again first.")
    if decision.need(job, decision.LANE_CHANGE) != "required":
        raise Refused("The signed triage asks for no lane-change test.")
    word = go.latest(booking)
    if word is not None and word.decision != "go":
        raise Refused(f"No-go was decided for this booking: {word.reason} Decide “go” first, or book another morning.")
    # The weather of the plan is past: on the day the anemometer and the surface decide, run by run.
    if against := [c for c in conditions(job) if c.verdict == NOT_MET and c.title != "Weather"]:
        raise Refused(" ".join(f"{condition.title}: {condition.text}" for condition in against))


def _complete_work_up(job):
    try:
        work_up = work_up_of(job)
    except (CaseError, CalculationError) as error:
        raise Refused(f"The facts of the vehicle contradict each other: {error}") from error
    if missing := undecided(work_up):
        raise Refused("Undecided, measure first: " + "; ".join(missing))
    masses = work_up["masses"]
    if masses["within_gvm"] is False:
        raise Refused(
            f"Test Mass 1 is {masses['tm1_kg']:,.1f} kg and Test Mass 2 {masses['tm2_kg']:,.1f} kg; "
            f"the GVM is {masses['gvm_kg']:,.0f} kg. A vehicle is not driven above its GVM."
        )
    return work_up


def undecided(work_up):
    """What a test day cannot do without and nobody knows yet, with what to measure."""
    missing = list(work_up["masses"]["undecided"])
    if work_up["course"] is None:
        missing += [text for text in work_up["undecided"] if "overall_width_mm" in text]
    if not work_up["speeds"]["ladder_kmh"]:
        missing += [text for text in work_up["undecided"] if text.startswith(("category", "vehicle.adr_category"))]
    return list(dict.fromkeys(missing))
