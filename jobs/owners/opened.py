"""Who has shown that the page is theirs: by a code in this browser, or by signing in as the owner."""

from datetime import timedelta

from django.utils import timezone

HOLDS_FOR = timedelta(hours=12)
KEY = "owner_pages"


def remember(request, link):
    """From now on this browser may see what is personal on that link's page, for some hours."""
    request.session.cycle_key()
    held = {key: until for key, until in request.session.get(KEY, {}).items() if until > _now()}
    request.session[KEY] = {**held, str(link.pk): _now() + HOLDS_FOR.total_seconds()}


def is_opened(request, link):
    if request.user.is_authenticated and link.job.owner.user_id == request.user.pk:
        return True
    return request.session.get(KEY, {}).get(str(link.pk), 0) > _now()


def _now():
    return timezone.now().timestamp()
