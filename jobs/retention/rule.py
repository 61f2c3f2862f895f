"""The one rule: how many years a file is kept, from which day, and which files are past them.

The years stand in the workshop's settings. They count from the latest day that anybody registered of a file.
"""

from dataclasses import dataclass
from datetime import MAXYEAR, date
from functools import reduce
from operator import or_

from django.db.models import Exists, OuterRef, Subquery
from django.utils import timezone

from jobs.models import Workshop
from jobs.retention import kinds


@dataclass(frozen=True, kw_only=True)
class Term:
    """What is kept, how long, why, and where that comes from. ``years`` is None for good."""

    what: str
    years: int | None
    long: str
    why: str
    source: str


def terms():
    """Both halves of the rule in words: what stays for good, and what goes when the years are over."""
    number = years()
    since = dict.fromkeys(one.what for kind in kinds.all_kinds() for one in kind.sinces)
    goes = dict.fromkeys(part.what for kind in kinds.all_kinds() for part in kind.parts)
    return (
        Term(
            what=_sentence(kinds.for_good),
            years=None,
            long="for good",
            why="A vehicle may be on the road, and in dispute, for longer than any term; the seals need every record.",
            source="common practice, no published source",
        ),
        Term(
            what=_sentence(goes),
            years=number,
            long=f"{_years(number)}, counted from the last of the days on which {', '.join(since)}",
            why="It only serves to reach the owner and to talk with them, also of a withdrawal while the certificate "
            "is in use.",
            source="the workshop's settings; 7 years is common practice, no published source",
        ),
    )


def _sentence(words):
    text = ", ".join(words)
    return text[:1].upper() + text[1:]


def _years(number):
    return f"{number} year{'s' if number != 1 else ''}"


def years():
    return Workshop.current().retention_years


def today():
    return timezone.localdate()


def limit():
    """A file whose latest day lies before this one is past its years."""
    now = today()
    try:
        return now.replace(year=now.year - years())
    except ValueError:  # 29 February
        return date(now.year - years(), 3, 1)


def last_day(day, number=None):
    """The last day on which a file that counts from that day is kept; ``number`` of years, where it is known."""
    year = min(day.year + (number or years()), MAXYEAR)
    try:
        return day.replace(year=year)
    except ValueError:  # 29 February
        return date(year, 2, 28)


def past(kind):
    """Files of that kind that are past their years, whether anything is left in them or not."""
    before = limit()
    younger = (Exists(since.rows(OuterRef("pk")).filter(**{f"{since.day}__gte": before})) for since in kind.sinces)
    return kind.files().exclude(reduce(or_, younger))


def to_erase(kind):
    """Files past their years with something left in them that goes."""
    return past(kind).filter(reduce(or_, (Exists(part.rows(OuterRef("pk"))) for part in kind.parts)))


def count():
    """How many files wait to be erased."""
    return sum(to_erase(kind).count() for kind in kinds.all_kinds())


def with_days(kind, files):
    """The same files, each with the days that its years count from."""
    days = {
        f"since_{place}": Subquery(
            since.rows(OuterRef("pk")).order_by(f"-{since.day}", "-pk").values(since.day)[:1],
        )
        for place, since in enumerate(kind.sinces)
    }
    return files.annotate(**days)


def counted_from(kind, file):
    """(the day that the years of a file from `with_days` count from, what happened then)."""
    found = ((getattr(file, f"since_{place}"), since.what) for place, since in enumerate(kind.sinces))
    return max((one for one in found if one[0]), key=lambda one: one[0])


def in_words(kind, keys):
    """Until when files are kept, for pages and papers: key → sentence. Many cost no more questions than one."""
    number = years()
    found = {file.pk: file for file in with_days(kind, kind.files().filter(pk__in=keys))}
    return {key: _kept(kind, found.get(key), number) for key in keys}


def _kept(kind, file, number):
    term = _years(number)
    verb = "is kept"
    if file is None:
        until = f"while the job is open and for {term} after it was closed"
    else:
        day, what = counted_from(kind, file)
        last = last_day(day, number)
        if last < today():
            verb = "was to be kept"
        until = f"until {last.day} {last:%B %Y}, {term} after {what} on {day.day} {day:%B %Y}"
    return f"What only serves to reach the owner {verb} {until}. All else in the file is kept for good."
