"""What a page was filled with goes out with it and comes back: only so can be told what the person changed.

A page may stay open for an hour while somebody else corrects the same row. What the person did not touch is taken
as it is stored now; where both changed the same field, nothing is written and both values are shown.
"""

import json

from django import forms

FIELD = "as_loaded"
NOTHING = "nothing"


class Meanwhile(Exception):
    """Somebody stored other values between reading the row and writing it."""

    def __init__(self):
        super().__init__("Somebody saved this page at the same moment; nothing of yours was stored. Save again.")


def stored(form):
    """What a browser sends back of an unbound form that nobody touches: name → list of texts."""
    return {form.add_prefix(name): _texts(form[name]) for name in form.fields if not _is_file(form, name)}


def _is_file(form, name):
    return isinstance(form.fields[name], forms.FileField)


def _texts(bound):
    widget, value = bound.field.widget, bound.value()
    if isinstance(widget, forms.CheckboxInput):
        return ["on"] if widget.check_test(value) else []
    shown = widget.format_value(value)
    if isinstance(widget, forms.SelectMultiple):
        return sorted(map(str, shown))
    if isinstance(shown, list | tuple):
        shown = shown[0] if shown else ""
    return _sent([shown])


def _sent(texts):
    # A browser ends lines its own way and sends an empty field for nothing.
    return [("" if text is None else str(text)).replace("\r\n", "\n") for text in texts]


def written(values):
    return json.dumps(values)


def read(text):
    """The values that came back with a page; empty where none or nonsense came."""
    try:
        found = json.loads(text or "")
    except (TypeError, ValueError):
        return {}
    return {key: value for key, value in found.items() if isinstance(value, list)} if isinstance(found, dict) else {}


def merged(data, now):
    """(what to take as sent, field → what it was): touched fields as typed, the others as stored now.

    The second part names the fields that the person and somebody else both changed, to different values.
    """
    was = read(data.get(FIELD))
    data = data.copy()
    both = {}
    for name, present in now.items():
        if name not in was or was[name] == present:
            continue
        typed = _sent(data.getlist(name))
        if typed == was[name]:
            data.setlist(name, present)
        elif typed != present:
            both[name] = was[name]
    # Shown again, the page has told what changed meanwhile: saved again, it counts as known.
    data[FIELD] = written(now)
    return data, both


def still_typed(values, now):
    """(what of a kept draft still counts, field → what it was where the row changed since)."""
    was = read(values.get(FIELD))
    typed, both = {}, {}
    for name, value in values.items():
        texts = _sent(value if isinstance(value, list) else [value])
        if name not in now:
            typed[name] = value
        elif texts not in (now[name], was.get(name)):
            typed[name] = value
            if was.get(name) != now[name]:
                both[name] = was.get(name)
    typed.pop(FIELD, None)
    return typed, both


def in_words(form, name, texts):
    """A value as people read it: the label of a choice, not its key."""
    field = form.fields[name]
    labels = {str(key): str(label) for key, label in getattr(field, "choices", ()) or ()}
    words = [labels.get(text, text) for text in texts or () if text]
    return f"“{', '.join(words)}”" if words else NOTHING


def refuse(form, both, now):
    """Say at each field that both changed what it was, what stands there now and what was typed."""
    for name in form.fields:
        if (key := form.add_prefix(name)) in both:
            was, present, typed = (
                in_words(form, name, texts) for texts in (both[key], now[key], form.data.getlist(key))
            )
            form.add_error(
                name,
                f"Somebody saved {present} here since you opened this page; before that it was {was}. You typed "
                f"{typed}. Save again to put yours in its place, or enter theirs.",
            )


def flags(form, both, now):
    """The same for a draft: a sentence for each field whose stored value is younger than what was typed."""
    for name in form.fields:
        if (key := form.add_prefix(name)) in both:
            was = f" (it was {in_words(form, name, both[key])} then)" if both[key] is not None else ""
            label = form[name].label
            yield f"{label}: the file says {in_words(form, name, now[key])} by now{was}. Yours stands in the field."


def hold_latest(rows, seen):
    """Of rows that are written once the newest counts: whoever adds one has read ``seen``, the newest until then.

    Called inside the transaction of the act, with the rows newest first. Raises Meanwhile when another was quicker.
    """
    list(rows.select_for_update().filter(pk=seen))
    if rows.values_list("pk", flat=True).first() != seen:
        raise Meanwhile


def save(form, row):
    """Write into the locked row only what the person changed. Raises Meanwhile when it is no longer as read."""
    columns = {field.name for field in row._meta.concrete_fields}
    changed = [name for name in form.changed_data if name in columns]
    for name in changed:
        if getattr(row, name) not in (form.initial.get(name), form.cleaned_data[name]):
            raise Meanwhile
        setattr(row, name, form.cleaned_data[name])
    if changed:
        row.save(update_fields=changed)
    return row
