"""What meets each requirement of the signed triage: a sheet of the job, or the engineer's word with what it rests on.

Nothing is certified that the triage requires and nobody vouches for. A line the latest signed
triage no longer requires is not asked for; what was said about it stays readable.
"""

from dataclasses import dataclass

from django.db import transaction
from django.utils.text import slugify

from certificates import by_itself
from certificates.models import MetBy
from certificates.moments import when
from jobs.audit import record
from jobs.models import Job
from jobs.reading import read_once
from jobs.refused import Refused
from jobs.services import FileClosed
from testing.triage import decision
from testing.triage.words import heading

# This line says that it cannot be certified as it is: nothing that anybody says meets it.
NEVER = "REDUCTION"
_EMPTY = {"documents": [], "measured": "", "words": ""}


@dataclass(frozen=True, kw_only=True)
class Line:
    """One required line, with what meets it: a sheet, the engineer's word, or nothing yet."""

    code: str
    title: str
    sheet: by_itself.Sheet | None
    said: MetBy | None

    @property
    def heading(self):
        return heading(self.code, self.title)

    @property
    def key(self):
        """The code as a form can carry it."""
        return slugify(self.code.replace("/", "-"))

    @property
    def open(self):
        """Nothing is behind it, and no sheet is on its way."""
        return self.sheet is None and self.said is None


@read_once
def lines(job):
    """The lines that the latest signed triage requires, in its order."""
    signed = decision.signed(job)
    if signed is None:
        return []
    sheets, said = by_itself.sheets(job), standing(job)
    return [
        Line(code=line["code"], title=line["title"], sheet=sheets.get(line["code"]), said=said.get(line["code"]))
        for line in signed.results["requirements"]
        if line["need"] == "required" and line["code"] != NEVER
    ]


def standing(job):
    """The engineer's latest word on each line that says something, by code.

    A word that rests on a file which was set aside since rests on nothing.
    """
    latest = {row.code: row for row in MetBy.objects.filter(job=job).select_related("by")}
    files = set(job.vehicle.documents.standing().values_list("sha256", flat=True))
    return {
        code: row
        for code, row in latest.items()
        if row.said and all(document["sha256"] in files for document in row.documents)
    }


def asked(job):
    """The lines that wait for the engineer's word, or have it."""
    return [line for line in lines(job) if line.sheet is None]


def told(job):
    """What meets each required line, by code, as the record keeps it."""
    return {line.code: behind for line in lines(job) if (behind := _told(line))}


def _told(line):
    if line.sheet:
        sheet = line.sheet
        return {"sheet": sheet.text, "by": sheet.by, "at": when(sheet.at)} if sheet.done else None
    if not line.said:
        return None
    said = line.said
    parts = {"measured": said.measured, "words": said.words, "documents": said.documents}
    return {**{name: part for name, part in parts.items() if part}, "by": said.by.full_name, "at": when(said.at)}


@transaction.atomic
def say(*, job, by, said):
    """Keep the engineer's word on several lines at once, {code: {"documents", "measured", "words"}}: all or none.

    What is said already is not written twice. Documents are rows of this vehicle.
    """
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise FileClosed(job)
    open_to_words = {line.code: line for line in asked(job)}
    kept = []
    for code, parts in said.items():
        line = open_to_words.get(code)
        if line is None:
            raise Refused(f"{code} does not wait for anybody's word: look at the list again.")
        documents = [_leaned_on(job, document) for document in parts.get("documents", ())]
        now = {"documents": documents, "measured": parts.get("measured", ""), "words": parts.get("words", "")}
        if now != _before(line.said):
            kept.append(MetBy.objects.create(job=job, code=code, by=by, **now))
    if kept:
        record(job, by, "What meets the requirements was stated", said={row.code: row.said for row in kept})
    return kept


def _before(said):
    return {name: getattr(said, name) if said else empty for name, empty in _EMPTY.items()}


def _leaned_on(job, document):
    if document.vehicle_id != job.vehicle_id or document.set_aside_at:
        raise Refused(f"“{document.caption}” is not a file of {job.number}.")
    return {"kind": document.kind, "caption": document.caption, "sha256": document.sha256}
