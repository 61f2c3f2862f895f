"""After a test that the vehicle did not pass: until the owner is told what has to change, the engineer is next."""

from django.db import transaction

from jobs.audit import record
from jobs.messages import letters
from jobs.models import Job
from jobs.refused import Refused
from jobs.services import FileClosed
from testing.testday import retest
from testing.testday.models import MustChange
from testing.testday.result import result


def failed(found):
    """What the vehicle did not pass, by name in a MustChange: the last test day or the last report. Empty if none."""
    if found.day and retest.said_no(found.day) and not hasattr(found.day, "retest"):
        return {"day": found.day}
    if found.report and not found.report.safe:
        return {"report": found.report}
    return {}


def told(failure):
    """What the owner was told has to change after that; None until it was said."""
    return MustChange.objects.filter(**failure).first() if failure else None


@transaction.atomic
def tell(*, job, by, text):
    """Keep what the owner is told, write to them and put it on their page. Raises Refused where nothing failed."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise FileClosed(job)
    failure = failed(result(job))
    if not failure:
        raise Refused("No test of this job stands as not passed: there is nothing to tell.")
    if said := told(failure):
        raise Refused(f"The owner was told already: “{said.told}”")
    kept = MustChange.objects.create(**failure, told=text, by=by)
    record(job, by, "Told the owner what has to change", told=text)
    letters.send(job=job, event="must_change", by=by, facts={"changes": text})
    return kept
