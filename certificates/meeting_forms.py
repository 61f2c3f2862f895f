"""The form about what meets the requirements: one section for each line, one button for all."""

from crispy_forms.layout import HTML
from django import forms
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.timezone import localtime

from certificates import likely, meeting, on_file
from certificates.models import MetBy
from vehicles.layout import set_out

_SEEN = "seen"
_LONGEST = {name: MetBy._meta.get_field(name).max_length for name in ("measured", "words")}


class MeetingForm(forms.Form):
    """What is empty stays open; what was said and is emptied is open again."""

    # The last word that the page knew of: two people who fill the list do not write over each other.
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args, job, **kwargs):
        self.lines = meeting.asked(job)
        self.documents = {str(document.pk): document for document in job.vehicle.documents.standing()}
        newest = MetBy.objects.filter(job=job).last()
        self.newest = newest.pk if newest else 0
        given = kwargs.pop("initial", None) or {}
        # A kept draft is whole: a box that it does not name was empty when it was kept.
        kwargs["initial"] = given if _SEEN in given else {**self._standing(), _SEEN: self.newest, **given}
        super().__init__(*args, **kwargs)
        known = on_file.known(job)
        sections = [("", [_SEEN])]
        for line in self.lines:
            sections.append((line.heading, list(self._section(line, known.get(line.code)))))
        set_out(self, *sections)

    def _standing(self):
        initial = {}
        for line in self.lines:
            if line.said:
                leaned_on = {document["sha256"] for document in line.said.documents}
                ticked = [pk for pk, document in self.documents.items() if document.sha256 in leaned_on]
                initial |= {f"near-{line.key}": ticked, f"far-{line.key}": ticked}
                initial |= {f"{name}-{line.key}": getattr(line.said, name) for name in _LONGEST}
        return initial

    def _section(self, line, known):
        yield HTML(_state(line, known))
        near, far = likely.sorted_for(line.title, self.documents.values())
        if near:
            self.fields[f"near-{line.key}"] = _files("Files that fit by their name", near)
            yield f"near-{line.key}"
        if far:
            self.fields[f"far-{line.key}"] = _files("Files", far)
            given = self.initial.get(f"far-{line.key}") or ()
            # A kept draft holds a single tick as a text of its own.
            ticked = {given} if isinstance(given, str) else set(given)
            shown = ticked & {str(document.pk) for document in far}
            yield HTML(f"<details{' open' if shown else ''}><summary>Other files of the job ({len(far)})</summary>")
            yield f"far-{line.key}"
            yield HTML("</details>")
        self.fields[f"measured-{line.key}"] = forms.CharField(
            label="Measured, with its unit", required=False, max_length=_LONGEST["measured"]
        )
        self.fields[f"words-{line.key}"] = forms.CharField(
            label="In words",
            required=False,
            max_length=_LONGEST["words"],
            widget=forms.Textarea(attrs={"rows": 2}),
        )
        yield from (f"measured-{line.key}", f"words-{line.key}")

    def _now(self, line):
        cleaned = self.cleaned_data
        ticked = {pk for name in ("near", "far") for pk in cleaned.get(f"{name}-{line.key}") or ()}
        said = {name: cleaned.get(f"{name}-{line.key}", "") for name in _LONGEST}
        return {"documents": [document for pk, document in self.documents.items() if pk in ticked], **said}

    def said(self):
        """What is said of each line, by code; a line that is empty and always was says nothing."""
        told = {line.code: self._now(line) for line in self.lines}
        return {line.code: told[line.code] for line in self.lines if line.said or any(told[line.code].values())}

    def clean(self):
        cleaned = super().clean()
        seen = cleaned.get(_SEEN) or 0
        for line in self.lines:
            if line.said and line.said.pk > seen:
                self.add_error(f"words-{line.key}", f"Stated meanwhile by {_who(line.said)}. Look at both, then save.")
        if self.errors:
            # Having been told is having seen it: the next press says what shall stand.
            self.data = self.data.copy()
            self.data[_SEEN] = self.newest
        return cleaned


def _files(label, documents):
    return forms.MultipleChoiceField(
        label=label,
        required=False,
        choices=[(str(document.pk), f"{document.caption} ({document.kind})") for document in documents],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "%(value)s is no file of this job. Allowed: the files listed here."},
    )


def _state(line, known):
    state = "met" if line.said else "undecided"
    told = f"stated by {_who(line.said)}" if line.said else "open"
    hint = f" On file: {known}." if known else ""
    shown = format_html('<p class="small"><span class="state {}">{}</span>{}</p>', state, told, hint)
    # The layout reads it as a template; nothing in it may be taken for one.
    return shown.replace("{", "&#123;")


def _who(said):
    return f"{said.by.full_name}, {date_format(localtime(said.at), 'j M Y, H:i')}"
