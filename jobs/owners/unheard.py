"""What an owner said on their page and nobody at the workshop has taken up yet.

A question wants an answer; everything else wants to be noted. Until then the desk is next.
"""

from datetime import timedelta

from jobs.steps import DESK, NextAct

# A habit of the house, no published source.
TAKEN_UP_WITHIN = timedelta(days=1)


def words_of(job):
    """What nobody has noted yet, the oldest first."""
    return list(job.owner_words.filter(noted_at=None))


def next_act(job):
    """The desk's turn while the owner waits for an answer or has not been heard; else None."""
    question = job.owner_questions.filter(answered_at=None).first()
    words = words_of(job)
    since = min([word.at for word in words] + ([question.asked_at] if question else []), default=None)
    if since is None:
        return None
    what = f"Answer the owner: {question.text}" if question else words[0].text
    more = len(words) - (0 if question else 1)
    return NextAct(
        who=DESK,
        what=" ".join(what.split())[:200] + (f" And {more} more from the owner." if more else ""),
        due=since + TAKEN_UP_WITHIN,
        because="an owner is answered within a day",
    )
