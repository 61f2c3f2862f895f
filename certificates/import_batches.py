"""A table and a zip of past certificates that somebody sent: kept until every line is in, or thrown away.

Keeping both is what makes an import in the browser go on after anything: the page of the batch
stays, and pressing again takes up the lines that are not in yet.
"""

import re
import secrets
import time
from contextlib import ExitStack, contextmanager
from datetime import timedelta

from django.core.files.storage import default_storage
from django.utils import timezone

from certificates import importing
from certificates.import_papers import Archive

_FOLDER = "imports-waiting"
_TABLE, _PAPERS = "table.csv", "papers.zip"
# A request must end before whatever stands before this server loses patience.
SECONDS_AT_ONCE = 15
# Long enough to have a table mended by somebody else.
WAITS = timedelta(days=30)


def keep(*, table, papers):
    """Keep what was sent, for a month; returns the token of the batch."""
    sweep()
    token = secrets.token_hex(16)
    default_storage.save(_name(token, _TABLE), table)
    if papers:
        default_storage.save(_name(token, _PAPERS), papers)
    return token


def exists(token):
    return bool(re.fullmatch(r"[0-9a-f]{32}", token)) and default_storage.exists(_name(token, _TABLE))


def waiting():
    """Token and day of every batch that is not finished, the newest first."""
    if not default_storage.exists(_FOLDER):
        return []
    tokens = [token for token in default_storage.listdir(_FOLDER)[0] if exists(token)]
    kept = [(default_storage.get_created_time(_name(token, _TABLE)), token) for token in tokens]
    return [{"token": token, "kept_at": at} for at, token in sorted(kept, reverse=True)]


def sweep():
    """Tables that nobody came back for, with the names and papers in them; whoever sends the next one tidies up."""
    oldest = timezone.now() - WAITS
    for one in waiting():
        if one["kept_at"] < oldest:
            drop(one["token"])


def drop(token):
    for part in (_TABLE, _PAPERS, ""):
        default_storage.delete(_name(token, part))


def look(token):
    """What would become of every line; writes nothing. Returns the outcomes and the files that no line names."""
    with _opened(token) as (table, papers):
        outcomes = list(importing.run(file=table, pdfs=papers, dry_run=True))
        return outcomes, sorted(papers.unread()) if papers else []


def bring_in(token, *, by):
    """Import for as long as one request may take. Returns how many lines came in."""
    until = time.monotonic() + SECONDS_AT_ONCE
    count = 0
    with _opened(token) as (table, papers):
        for outcome in importing.run(file=table, pdfs=papers, by=by):
            count += outcome.result == importing.DONE
            if count and time.monotonic() > until:
                break
    return count


@contextmanager
def _opened(token):
    with ExitStack() as stack:
        table = stack.enter_context(default_storage.open(_name(token, _TABLE)))
        papers = None
        if default_storage.exists(_name(token, _PAPERS)):
            papers = Archive(stack.enter_context(default_storage.open(_name(token, _PAPERS))))
        yield table, papers


def _name(token, part):
    return f"{_FOLDER}/{token}/{part}".rstrip("/")
