"""Under which number a person signs a job's certificate, and why not where they may not.

A person without any authority in the workshop's list signs under the one number of the account:
that is for houses that keep no list. Whoever is in the list signs where and while it says so.
"""

from django.urls import reverse
from django.utils.formats import date_format

from jobs.models import Job
from jobs.refused import Refused
from jobs.steps import Blocker
from jobs.workshop.signatories import authority_of

_PAGE = "jobs:signatories"


def number_of(person, job, *, on):
    """The authority number as of that day, or empty."""
    return authority_of(person, jurisdiction=job.jurisdiction, on=on)


def required(person, job, *, on):
    """The authority number as of that day. Raises Refused without one."""
    if number := number_of(person, job, on=on):
        return number
    raise Refused(_blocker(person, job, on).text)


def gap(person, job, *, on):
    """The Blocker that says what is missing, or None."""
    return None if number_of(person, job, on=on) else _blocker(person, job, on)


def gap_over(subject, person, *, on):
    """The same for an act over a certificate; one from before this system is of the place that its line names."""
    if hasattr(subject, "job"):
        return gap(person, subject.job, on=on)
    place = subject.record.get("jurisdiction")
    if not place:
        held = person.authorities.all()
        anywhere = [row for row in held if row.valid_from <= on <= row.valid_to]
        return None if anywhere or (not held and person.authority_number) else _none_at_all(person)
    return gap(person, Job(jurisdiction=place), on=on)


def _none_at_all(person):
    return Blocker(text=f"{person.full_name} has no authority as a signatory that is valid today.")


def _blocker(person, job, on):
    # Only who keeps the settings is sent there; everybody else would be turned away at the door.
    url = reverse(_PAGE) if person.has_perm("jobs.keep_workshop") else ""
    text = f"{_lacking(person, job, on)} The administrator enters it under Workshop, Signatories."
    return Blocker(text=text, url=url)


def _lacking(person, job, on):
    held = list(person.authorities.all())
    if not held:
        return f"{person.full_name} has no authority number as a signatory."
    there = [row for row in held if row.jurisdiction == job.jurisdiction]
    listed = "; ".join(
        f"{row.number} for {row.jurisdiction}, {date_format(row.valid_from)} to {date_format(row.valid_to)}"
        for row in (there or held)
    )
    return (
        f"{person.full_name} has no authority that is valid in {job.get_jurisdiction_display()} on {date_format(on)}. "
        f"In the list: {listed}."
    )
