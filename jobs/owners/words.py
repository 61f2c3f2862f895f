"""What an owner says or sends on their page: kept in one sentence, told to the desk, noted by somebody."""

from django.db import transaction
from django.utils import timezone

from jobs.audit import record
from jobs.messages import letters
from jobs.models import OwnerWord

LONGEST = OwnerWord._meta.get_field("text").max_length
MORE = " […]"


def say(*, job, text, event=None, facts=None):
    """Keep what the owner said in one sentence, and tell the desk. Call it inside the transaction of the act."""
    word = OwnerWord.objects.create(job=job, text=shortened(text, LONGEST))
    if event:
        letters.send_to_workshop(job=job, event=event, facts=facts)
    return word


def shortened(text, longest):
    """The text where there is room for it; else its beginning, with a sign that there is more."""
    return text if len(text) <= longest else text[: longest - len(MORE)].rstrip() + MORE


@transaction.atomic
def note(*, job, by, up_to):
    """Somebody has read what the owner said, up to that one; what came meanwhile stays open."""
    words = list(OwnerWord.objects.select_for_update().filter(job=job, noted_at=None, pk__lte=up_to))
    for word in words:
        word.noted_at, word.noted_by = timezone.now(), by
        word.save(update_fields=["noted_at", "noted_by"])
    if words:
        record(job, by, "Noted what the owner said", said=[word.text for word in words])
    return words
