"""A log that waits for a word: which column is what, or which pass belongs to which run."""

from dataclasses import dataclass
from datetime import timedelta

from django.core import signing
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone
from django.utils.crypto import get_random_string

from jobs.refused import Refused
from testing.testday import logs

SALT = "log that waits"
FOLDER = "logs/waiting"
WAITS = timedelta(days=1)


@dataclass(frozen=True, kw_only=True)
class Waiting:
    """The file as it was recognised, and what was said about it so far."""

    stored: str
    upload: logs.Upload
    instrument: str
    columns: dict
    frame: dict | None


def keep(*, day, upload, instrument, columns, frame):
    """Put the file aside for a day. Returns the token that finds it again."""
    sweep()
    stored = default_storage.save(f"{FOLDER}/{get_random_string(32)}", ContentFile(upload.data))
    said = {"stored": stored, "name": upload.name, "instrument": instrument, "columns": columns, "frame": frame}
    return signing.dumps({**said, "day": day.pk}, salt=SALT)


def found(token, *, day):
    """The file behind a token. Raises Refused when it does not wait any more, or waits for another day."""
    try:
        said = signing.loads(token, salt=SALT, max_age=WAITS)
        if said.pop("day") != day.pk:
            raise Refused("That file was brought in for another test day.")
        with default_storage.open(said["stored"]) as file:
            upload = logs.recognise(ContentFile(file.read(), name=said.pop("name")))
    except (signing.BadSignature, OSError) as error:
        raise Refused("That file does not wait any more: bring it in again.") from error
    return Waiting(upload=upload, **said)


def drop(waiting):
    default_storage.delete(waiting.stored)


def sweep():
    """Files that nobody came back for; whoever brings the next one tidies up."""
    try:
        _, names = default_storage.listdir(FOLDER)
    except FileNotFoundError:
        return
    oldest = timezone.now() - WAITS
    for name in names:
        path = f"{FOLDER}/{name}"
        if default_storage.get_modified_time(path) < oldest:
            default_storage.delete(path)
