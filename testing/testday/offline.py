"""Taking what a device wrote down without reception: each entry once, and none lost."""

import uuid
from datetime import datetime, timedelta

from django.db import transaction
from django.http import QueryDict
from django.utils import timezone

from jobs.audit import record
from jobs.refused import Refused
from testing.testday import checks, going_on, ladder, loading, recording
from testing.testday.forms import ReasonForm, RunForm
from testing.testday.locking import locked
from testing.testday.models import MASSES, DriverStatement, KeptEntry, Release, Run
from testing.testday.opening import STEP_KEY
from testing.testday.sheet_forms import LoadingForm, StopForm
from testing.testday.signing import sign_statement
from testing.testday.signing_forms import StatementForm
from testing.triage.canonical import plain

MOST_ENTRIES = 200
LONGEST_REASON = KeptEntry._meta.get_field("reason").max_length
FARTHEST_SKEW = timedelta(days=3650)


class Unreadable(ValueError):
    """What was sent is not a list of entries."""


def take_all(*, day, by, sent):
    """Take every entry in the order in which it was written down. Returns one answer for each."""
    if not isinstance(sent, dict) or not isinstance(sent.get("entries"), list):
        raise Unreadable("Send an object with a list of entries.")
    if len(sent["entries"]) > MOST_ENTRIES:
        raise Unreadable(f"At most {MOST_ENTRIES} entries at once.")
    device = _readable(sent.get("device", ""))[:40]
    skew = _skew(sent.get("now"))
    return [_take(day, by, entry, device, skew) for entry in sent["entries"]]


def _skew(device_now):
    """How far the clock of the device is from the server's."""
    moment = _moment(device_now)
    return timezone.now() - moment if moment else timedelta(0)


def _moment(text):
    try:
        moment = datetime.fromisoformat(text)
        return moment.astimezone(timezone.get_default_timezone()) if moment.tzinfo else None
    except (TypeError, ValueError, OverflowError):
        return None


def _take(day, by, entry, device, skew):
    entry = entry if isinstance(entry, dict) else {"data": entry}
    try:
        mark = uuid.UUID(str(entry.get("sent_as")))
    except ValueError:
        # The same unreadable entry sent again gets the same mark.
        mark = uuid.uuid5(uuid.NAMESPACE_OID, ascii((by.pk, day.pk, entry)))
    written = _moment(entry.get("at"))
    moment = min(written + skew, timezone.now()) if written and abs(skew) < FARTHEST_SKEW else timezone.now()
    answer = {"sent_as": _readable(entry.get("sent_as")), "state": "stored", "number": None}
    try:
        with transaction.atomic():
            answer |= _kinds()[_kind(entry)](day, by, _typed(entry.get("data")), mark, moment, device)
    except (Refused, ValueError) as refused:
        # Whatever cannot be read of one entry does not hold up those behind it, a stop among them.
        answer |= _keep(day, by, entry, mark, str(refused))
    return answer


class Misread(ValueError):
    """An entry that its form does not take."""


def _kinds():
    return {
        "run": _run,
        "undo": _undo,
        "check": _check,
        "loading": _loading,
        "stop": _stop,
        "release": _release,
        "statement": _statement,
    }


def _kind(entry):
    kind = entry.get("kind")
    if not isinstance(kind, str) or kind not in _kinds():
        raise Misread(f"“{str(kind)[:20]}” is not a kind of entry. Allowed: {', '.join(_kinds())}.")
    return kind


def _typed(data):
    """The entry as a form would have sent it."""
    typed = QueryDict(mutable=True)
    if not isinstance(data, dict):
        raise Misread("The entry holds no fields.")
    for name, value in data.items():
        values = value if isinstance(value, list) else [value]
        typed.setlist(_readable(name), ["" if item is None else _readable(item) for item in values])
    return typed


def _valid(form):
    if not form.is_valid():
        first = next(iter(form.errors.items()))
        label = form.fields[first[0]].label if first[0] in form.fields else ""
        raise Misread(f"{label}: {first[1][0]}" if label else first[1][0])
    return form


def _open(day):
    """A day that was called off, or whose job went on, takes nothing into its sheet any more."""
    day = locked(day)
    if day.booking.cancelled_at:
        raise Refused("The booking of this day was cancelled.")
    if day.booking.job.stage != STEP_KEY:
        raise Refused(f"{day.booking.job.number} does not stand at the test day any more.")
    return day


def _run(day, by, typed, mark, moment, device):
    if Run.objects.filter(sent_as=mark, day=day).exists():
        return {"state": "already", "number": Run.objects.get(sent_as=mark).number}
    day = _open(day)
    typed["sent_as"], typed["device"] = str(mark), device
    form = _valid(RunForm(typed, day=day))
    run, new = recording.record_run(day=day, by=by, driven_at=moment, **form.cleaned_data)
    text = str(run) if run.counts else f"{run}; does not count: {run.not_counting_because}"
    return {"state": "stored" if new else "already", "number": run.number, "text": text}


def _undo(day, by, typed, mark, moment, device):
    try:
        run = day.runs.filter(sent_as=uuid.UUID(typed.get("run", ""))).first()
    except ValueError:
        run = None
    if run is None:
        raise Refused("The run that is to be undone is not on this sheet.")
    recording.undo_run(run=run, by=by, undone_at=moment)
    return {"number": run.number, "text": f"Run {run.number} undone."}


def _check(day, by, typed, mark, moment, device):
    keys = typed.getlist("check")
    notes = {key: typed.get(f"note_{key}", "") for key in keys}
    new = checks.confirm(day=day, keys=keys, by=by, notes=notes, done_at=moment)
    return {"state": "stored" if new else "already", "text": f"{len(new)} checks confirmed."}


def _loading(day, by, typed, mark, moment, device):
    mass = typed.get("mass")
    if mass not in dict(MASSES):
        raise Misread("Loaded to: allowed are Test Mass 1 and Test Mass 2.")
    typed["sent_as"] = str(mark)
    form = _valid(LoadingForm(typed, day=day, mass=mass))
    kept, new = loading.record_loading(day=day, by=by, mass=mass, loaded_at=moment, **form.said())
    return {"state": "stored" if new else "already", "text": str(kept)}


def _stop(day, by, typed, mark, moment, device):
    typed["sent_as"] = str(mark)
    recording.call_stop(day=day, by=by, called_at=moment, **_valid(StopForm(typed)).cleaned_data)
    return {"text": "Stopped."}


def _release(day, by, typed, mark, moment, device):
    if not by.has_perm("testing.run_test_day"):
        raise Refused("Only the engineer decides how to go on.")
    mass = typed.get("mass")
    if mass not in dict(MASSES):
        raise Misread("Go on at: allowed are Test Mass 1 and Test Mass 2.")
    stopped = {step.mass: step.stopped for step in ladder.progress_of(day)}
    if Release.objects.filter(sent_as=mark, day=day).exists() or not stopped[mass]:
        # A decision for the other mass let this one go as well, or somebody else's did.
        return {"state": "already", "text": "The climb goes on at this mass already."}
    form = _valid(ReasonForm(typed, longest=Release._meta.get_field("reason").max_length))
    reason = form.cleaned_data["reason"]
    known = None
    if "known_run" in typed or "known_stop" in typed:
        known = going_on.Known(frozenset(typed.getlist("known_run")), frozenset(typed.getlist("known_stop")))
    facts = {"reason": reason, "sent_as": mark, "decided_at": moment, "known": known}
    released = going_on.release(day=day, mass=mass, by=by, **facts)
    left = next(step for step in ladder.progress_of(day) if step.mass == mass)
    return {"text": f"{released}. Still stopped: {left.reason}" if left.stopped else str(released)}


def _statement(day, by, typed, mark, moment, device):
    if DriverStatement.objects.filter(sent_as=mark, day=day).exists():
        return {"state": "already"}
    form = _valid(StatementForm(typed, driver=day.booking.driver))
    signed = sign_statement(day=day, by=by, sent_as=mark, signed_at=moment, **form.said())
    return {"text": f"Signed: {signed}."}


@transaction.atomic
def _keep(day, by, entry, mark, reason):
    """Word for word, for the engineer to look at."""
    day = locked(day)
    if not KeptEntry.objects.filter(sent_as=mark).exists():
        KeptEntry.objects.create(
            day=day,
            by=by,
            kind=_readable(entry.get("kind"))[:10],
            entry=_storable(entry),
            reason=_readable(reason)[:LONGEST_REASON],
            sent_as=mark,
        )
        record(day.booking.job, by, f"Entry kept aside: {_readable(reason)}"[:200], day=day.pk)
    return {"state": "kept", "text": _readable(reason)}


def _readable(value):
    """Text as a database can keep it: PostgreSQL takes no NUL, and none takes half a pair of UTF-16."""
    return str(value).replace("\x00", "").encode("utf-8", "replace").decode()


def _storable(value):
    if isinstance(value, str):
        return _readable(value)
    if isinstance(value, list):
        return [_storable(item) for item in value]
    if isinstance(value, dict):
        return {_readable(key): _storable(item) for key, item in value.items()}
    return plain(value)
