"""What the job will cost, from the work-up."""

from testing.workup import requirements_of
from vehicles.calculations.errors import CaseError


def estimate_for(job):
    """The estimate of a job as data, or None while its records contradict each other."""
    try:
        return requirements_of(job)["estimate"]
    except CaseError:
        return None
