"""A code by e-mail: whoever has the link and reads the owner's mail is the owner."""

import secrets
from datetime import timedelta

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

from jobs.audit import record
from jobs.messages import letters
from jobs.models import OwnerCode, OwnerLink
from jobs.refused import Refused

LIFE = timedelta(minutes=10)
TRIES = 5
AN_HOUR = 6


def _hash(link, code):
    # Keyed with the site's secret: six digits behind a bare hash would be found in a second. Bound to the address:
    # what went to a wrong one opens nothing once that is set right.
    said = f"{link.pk}:{link.job.owner.email.lower()}:{code}"
    return salted_hmac("owner's code", said, algorithm="sha256").hexdigest()


@transaction.atomic
def make(*, link, by=None):
    """A new code; the ones before it no longer work. Raises Refused when too many were asked for."""
    OwnerLink.objects.select_for_update().get(pk=link.pk)
    now = timezone.now()
    if link.codes.filter(made_at__gt=now - timedelta(hours=1)).count() >= AN_HOUR:
        raise Refused("Too many codes were asked for in the last hour. Wait a while, or ring the workshop.")
    code = f"{secrets.randbelow(10**6):06d}"
    OwnerCode.objects.create(link=link, code_hash=_hash(link, code), made_by=by, expires_at=now + LIFE)
    return code


@transaction.atomic
def post(*, link):
    """Make a code and e-mail it. Raises Refused when the owner has no address it could go to."""
    if not link.job.owner.email:
        raise Refused("We have no e-mail address of yours. Ring the workshop: they can read you a code.")
    code = make(link=link)
    minutes = LIFE // timedelta(minutes=1)
    message = letters.send(job=link.job, event="code", facts={"code": code, "minutes": minutes})
    if message is None:
        raise Refused("Nothing can be sent to the e-mail address we have. Ring the workshop.")
    return message


@transaction.atomic
def read_out(*, link, by):
    """A code for the desk to read to the owner on the phone."""
    code = make(link=link, by=by)
    record(link.job, by, "Code for the owner's page made at the desk")
    return code


def check(*, link, typed):
    """Accept the newest code once. Raises Refused otherwise; every try counts, also the right one."""
    now = timezone.now()
    code = link.codes.first()
    usable = OwnerCode.objects.filter(pk=code.pk if code else None, used_at=None, expires_at__gt=now, tries__lt=TRIES)
    if not usable.update(tries=F("tries") + 1):
        raise Refused("This code does not work any more. Ask for a new one.")
    digits = "".join(char for char in typed if char.isdigit())
    if not constant_time_compare(code.code_hash, _hash(link, digits)):
        left = TRIES - code.tries - 1
        raise Refused(f"That is not the code we sent. {left} {'try is' if left == 1 else 'tries are'} left.")
    # Two at once with the right code: one of them gets in.
    if not OwnerCode.objects.filter(pk=code.pk, used_at=None).update(used_at=now):
        raise Refused("This code was used already. Ask for a new one.")
