"""Who has shown that the page is theirs: by a code in this browser, or by signing in as the owner."""

from datetime import timedelta

from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

HOLDS_FOR = timedelta(hours=12)
KEY = "owner_pages"


def remember(request, link, holds_for=HOLDS_FOR):
    """From now on this browser may see what is personal on that link's page, for some hours."""
    request.session.cycle_key()
    entry = {"until": _now() + holds_for.total_seconds(), "to": _address(link)}
    request.session[KEY] = {**_held(request.session), str(link.pk): entry}


def forget(request, link):
    """This browser is as any other again. Gives whether it was open."""
    held = _held(request.session)
    was_open = held.pop(str(link.pk), None) is not None
    request.session[KEY] = held
    return was_open


def is_opened(request, link):
    if request.user.is_authenticated and link.job.owner.user_id == request.user.pk:
        return True
    entry = _held(request.session).get(str(link.pk))
    # An address that was set right shuts out whoever read the mail of the wrong one.
    return bool(entry) and constant_time_compare(entry["to"], _address(link))


def _held(session):
    """What still holds; an entry of an older form of this file does not."""
    entries = session.get(KEY, {}).items()
    return {key: entry for key, entry in entries if isinstance(entry, dict) and entry.get("until", 0) > _now()}


def _address(link):
    return salted_hmac("owner's address", link.job.owner.email.lower(), algorithm="sha256").hexdigest()


def _now():
    return timezone.now().timestamp()
