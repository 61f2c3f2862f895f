"""What may still happen to a certificate: corrected by another one, withdrawn, its owner changed. Never edited."""

from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format

from certificates import authority, checking, event_chain, evidence, lines, photos, trail
from certificates.correction import FIELDS, corrected
from certificates.locking import locked
from certificates.models import Certificate, ImportedCertificate, NewOwnerContact
from certificates.models.event import SUPERSEDED, TRANSFERRED, WITHDRAWN
from certificates.models.line import VALID
from certificates.sealing import seal
from certificates.services import nothing_left_behind
from certificates.signing import keys
from certificates.telling import tell_owner
from jobs.audit import record as write_down
from jobs.refused import Refused
from vehicles.signs import hidden


def _standing(subject, act):
    state = lines.state_of(subject)
    if state != VALID:
        raise Refused(f"{subject.number} is {state} already; it cannot be {act}.")


def _authorised(by, subject):
    """What a signatory took on, only a signatory undoes."""
    if gap := authority.gap_over(subject, by, on=timezone.localdate()):
        raise Refused(gap.text)


def why_not_corrected(certificate):
    """Why it cannot be corrected as it stands, or None: asked before anybody types."""
    try:
        _standing(certificate, "corrected")
        _still_holds(certificate)
    except Refused as why:
        return str(why)
    return None


def _note(subject, by, what, **details):
    if isinstance(subject, Certificate):
        write_down(subject.job, by, f"{what}: {subject.number}", **details)


def correct(*, certificate, by, changes, reason, secret=""):
    """A new certificate in place of this one, with what was wrong put right, under a number of its own.

    ``changes`` maps the name of a correctable field to its new value. Nothing is tested or decided
    anew: that needs a job of its own. Raises Refused.
    """
    _authorised(by, certificate)
    _visible(changes)
    _still_holds(certificate)
    with keys.unlock(by, secret) as signer:
        pictures = photos.prepared(certificate.job)
        with nothing_left_behind() as stored, transaction.atomic():
            (old,) = locked(certificate)
            _standing(old, "corrected")
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


def _visible(changes):
    titles = {field.name: field.title for field in FIELDS if field.group in ("owner", "vehicle")}
    for name, value in changes.items():
        if name in titles and (sign := hidden(str(value))):
            raise Refused(f"{titles[name]} holds a sign that cannot be seen, {sign}. Allowed are signs that show.")


def _still_holds(certificate):
    """A correction is signed over what was sealed: over nothing else, and over all of it."""
    job = certificate.job
    if nowhere := checking.leads_nowhere():
        raise Refused(f"The new certificate would lead to {nowhere} for good, which is this machine alone.")
    if wrong := [*photos.faults(job), *evidence.faults(certificate.record, job)]:
        raise Refused(f"{certificate.number} cannot be corrected: " + " ".join(wrong))


@transaction.atomic
def supersede(*, certificate, by, successor, reason):
    """State that a certificate of another job, of the vehicle presented again, takes this one's place.

    ``certificate`` may be one from before this system; what takes its place was sealed here.
    """
    old, successor = locked(certificate, successor)
    _authorised(by, old)
    _standing(old, "superseded")
    if successor == old:
        raise Refused(f"{old.number} cannot take its own place.")
    if lines.state_of(successor) != VALID:
        raise Refused(f"{successor.number} does not stand itself; it cannot take the place of another.")
    if not _later(successor, old):
        raise Refused(f"{successor.number} was issued before {old.number}: only a later one takes its place.")
    if not _same_vehicle(successor, old):
        raise Refused(f"{successor.number} speaks of another vehicle: its VIN is not that of {old.number}.")
    _supersede(old, successor, by=by, reason=reason)
    return old


def _later(successor, old):
    if isinstance(old, Certificate):
        return successor.position > old.position
    return successor.issued_on >= old.issued_on


def _same_vehicle(successor, old):
    """By VIN. A past certificate that names none is told by its plate."""
    if isinstance(old, ImportedCertificate) and not old.line.vin:
        return bool(successor.plate) and successor.plate == old.line.plate
    return bool(successor.vin) and successor.vin == old.line.vin


def _supersede(old, new, *, by, reason):
    told = tell_owner(old, "superseded", successor=new.number)
    event_chain.write(SUPERSEDED, old, by=by, successor=event_chain.named(new), reason=reason, told=told)
    _note(old, by, trail.WORDS[SUPERSEDED], successor=new.number, reason=reason)
    lines.refresh_state(old)


@transaction.atomic
def withdraw(*, subject, by, reason):
    """The certificate no longer stands, and nothing takes its place. The owner is told."""
    (subject,) = locked(subject)
    _authorised(by, subject)
    if lines.state_of(subject) == WITHDRAWN:
        raise Refused(f"{subject.number} is withdrawn already.")
    told = tell_owner(subject, "withdrawn", reason=reason)
    event_chain.write(WITHDRAWN, subject, by=by, reason=reason, told=told)
    _note(subject, by, trail.WORDS[WITHDRAWN], reason=reason)
    lines.refresh_state(subject)
    return told


@transaction.atomic
def note_transfer(*, subject, by, new_owner, on, evidence, email="", phone="", sent_as=None):
    """The vehicle changed hands. The certificate stays as it is; the note stands beside it.

    How the new owner is reached is kept apart from the sealed note, so that it can be erased one day.
    """
    (subject,) = locked(subject)
    if there := event_chain.sent_already(sent_as):
        return there
    _authorised(by, subject)
    if not subject.issued_on <= on <= timezone.localdate():
        raise Refused(
            f"Changed hands on {date_format(on)}: allowed is {date_format(subject.issued_on)}, the day of issue, to "
            "today."
        )
    told = {"new_owner": new_owner, "transferred_on": on.isoformat(), "evidence": evidence}
    event = event_chain.write(TRANSFERRED, subject, by=by, sent_as=sent_as, **told)
    if email or phone:
        NewOwnerContact.objects.create(event=event, email=email, phone=phone)
    _note(subject, by, trail.WORDS[TRANSFERRED], transferred_on=on.isoformat())
    lines.refresh_words(subject)
    return event
