"""What may still happen to a certificate: corrected by another one, withdrawn, its owner changed. Never edited."""

from django.db import transaction
from django.utils import timezone

from certificates import authority, checking, event_chain, evidence, lines, photos
from certificates.correction import corrected
from certificates.models import Certificate, ImportedCertificate
from certificates.models.event import SUPERSEDED, TRANSFERRED, WITHDRAWN
from certificates.models.line import VALID
from certificates.sealing import seal
from certificates.services import nothing_left_behind, unlocked
from certificates.telling import tell_owner
from jobs.audit import record as write_down
from jobs.models import Job


class NotPossible(Exception):
    """The act does not fit how the certificate stands; says why."""


def _locked(subject):
    """The certificate as it stands now, with whatever guards it locked."""
    if isinstance(subject, Certificate):
        Job.objects.select_for_update().get(pk=subject.job_id)
        return Certificate.objects.select_related("job__owner").get(pk=subject.pk)
    return ImportedCertificate.objects.select_for_update().get(pk=subject.pk)


def _standing(subject, act):
    subject = _locked(subject)
    state = lines.state_of(subject)
    if state != VALID:
        raise NotPossible(f"{subject.number} is {state} already; it cannot be {act}.")
    return subject


def _note(subject, by, what, **details):
    if isinstance(subject, Certificate):
        write_down(subject.job, by, f"{what}: {subject.number}", **details)


def correct(*, certificate, by, changes, reason, secret=""):
    """A new certificate in place of this one, with what was wrong put right, under a number of its own.

    ``changes`` maps the name of a correctable field to its new value. Nothing is tested or decided
    anew: that needs a job of its own. Raises NotPossible or NotIssued.
    """
    if gap := authority.gap(by, certificate.job, on=timezone.localdate()):
        raise NotPossible(gap.text)
    _still_holds(certificate)
    with unlocked(by, secret) as signer:
        pictures = _pictures(certificate.job)
        with nothing_left_behind() as stored, transaction.atomic():
            old = _standing(certificate, "corrected")
            new = seal(
                job=old.job,
                by=by,
                compose=lambda place: corrected(old.record, place, changes, reason),
                pictures=pictures,
                signer=signer,
                stored=stored,
                replaces=old,
            )
            _supersede(old, new, by=by, reason=reason)
            return new


def _still_holds(certificate):
    """A correction is signed over what was sealed: over nothing else, and over all of it."""
    job = certificate.job
    if nowhere := checking.leads_nowhere():
        raise NotPossible(f"The new certificate would lead to {nowhere} for good, which is this machine alone.")
    if wrong := [*photos.faults(job), *evidence.faults(certificate.record, job)]:
        raise NotPossible(f"{certificate.number} cannot be corrected: " + " ".join(wrong))


def _pictures(job):
    try:
        return photos.prepared(job)
    except photos.NotAsTakenIn as wrong:
        raise NotPossible(str(wrong)) from wrong


@transaction.atomic
def supersede(*, certificate, by, successor, reason):
    """State that a certificate of another job, of the vehicle presented again, takes this one's place."""
    old = _standing(certificate, "superseded")
    if successor == old:
        raise NotPossible(f"{old.number} cannot take its own place.")
    if lines.state_of(successor) != VALID:
        raise NotPossible(f"{successor.number} does not stand itself; it cannot take the place of another.")
    if not successor.vin or successor.vin != old.line.vin:
        raise NotPossible(f"{successor.number} speaks of another vehicle: its VIN is not that of {old.number}.")
    _supersede(old, successor, by=by, reason=reason)


def _supersede(old, new, *, by, reason):
    told = tell_owner(old, "superseded", successor=new.number)
    event_chain.write(SUPERSEDED, old, by=by, successor=event_chain.named(new), reason=reason, told=told)
    _note(old, by, "Certificate superseded", successor=new.number, reason=reason)
    lines.refresh_state(old)


@transaction.atomic
def withdraw(*, subject, by, reason):
    """The certificate no longer stands, and nothing takes its place. The owner is told."""
    subject = _locked(subject)
    if lines.state_of(subject) == WITHDRAWN:
        raise NotPossible(f"{subject.number} is withdrawn already.")
    told = tell_owner(subject, "withdrawn", reason=reason)
    event_chain.write(WITHDRAWN, subject, by=by, reason=reason, told=told)
    _note(subject, by, "Certificate withdrawn", reason=reason)
    lines.refresh_state(subject)
    return told


@transaction.atomic
def note_transfer(*, subject, by, new_owner, on, evidence):
    """The vehicle changed hands. The certificate stays as it is; the note stands beside it."""
    subject = _locked(subject)
    event_chain.write(
        TRANSFERRED, subject, by=by, new_owner=new_owner, transferred_on=on.isoformat(), evidence=evidence
    )
    _note(subject, by, "Change of ownership noted", transferred_on=on.isoformat())
