"""What a certificate can state, and in which words. The signed triage decides which it is."""

from dataclasses import dataclass

from testing.triage import decision


@dataclass(frozen=True, kw_only=True)
class Outcome:
    code: str
    title: str
    statement: str

    def as_dict(self):
        return {"code": self.code, "title": self.title, "statement": self.statement}


LANE_CHANGE = Outcome(
    code="lane_change_test_passed",
    title="Lane-change test passed",
    statement=(
        "The vehicle described here, as presented and modified, was driven through the lane-change course of "
        "ISO 3888-1 at Test Mass 1 and at Test Mass 2, each up to the target speed in a clean run, and its driver "
        "has stated in writing that it is safe to drive."
    ),
)
DRIVING_REPORT = Outcome(
    code="driving_report",
    title="Driving report",
    statement=(
        "The signed triage calls for no lane-change test of the vehicle described here. The signatory has driven it "
        "as presented and modified, and reports on its handling."
    ),
)
NO_TEST = Outcome(
    code="no_test_required",
    title="No driving test required",
    statement=(
        "Under the rules named here, the modifications of the vehicle described call for neither a lane-change test "
        "nor a driving report, and neither was carried out for this certificate. What was measured is named in it."
    ),
)

ALL = (LANE_CHANGE, DRIVING_REPORT, NO_TEST)

# What the signature does not cover, whatever the outcome.
LIMITS = (
    "Speaks of the vehicle as presented, with the modifications listed, at the masses and on the day recorded. Any "
    "later change of vehicle, tyres, load or ratings is not covered.",
    "Covers what is recorded here and nothing else: where no test, inspection or measurement is named, none is "
    "certified.",
    "Local codes and the judgement of the licensed signatory prevail over the records and computations shown.",
)
TEST_LIMITS = (
    "The lane change was driven on a closed course by a skilled driver, at the wind and on the surface recorded with "
    "each run. It says nothing of other manoeuvres, speeds, surfaces or drivers.",
)
DECLARATION = (
    "I have examined the record of this job. What it states is true to the best of my knowledge, and I certify the "
    "vehicle to the extent and within the limits stated in it."
)


def of(job):
    """The outcome that the signed triage leads to, or None while nothing is signed."""
    if decision.signed(job) is None:
        return None
    if decision.need(job, decision.LANE_CHANGE) == "required":
        return LANE_CHANGE
    if decision.need(job, decision.DRIVING_REPORT) == "required":
        return DRIVING_REPORT
    return NO_TEST


def limits_of(outcome):
    return [*LIMITS, *(TEST_LIMITS if outcome is LANE_CHANGE else ())]
