from datetime import date

from django import template
from django.utils.formats import date_format

from testing.triage import changes, edition_text, words
from vehicles.plainly import label

register = template.Library()
register.filter("need_words", words.need_words)
register.filter("number_title", edition_text.title_of)
register.filter("fact_label", label)
register.filter("modification_title", changes.title_of)
register.filter("modification_values", changes.measured)


@register.filter
def fact_value(value, name):
    """A stored fact with its unit."""
    return changes.value_of(name, value)


@register.filter
def on_day(text):
    """A day that was stored as text, as people write it."""
    return date_format(date.fromisoformat(text), "j F Y") if text else ""


@register.filter
def heading(line):
    """The heading of a line that was stored as data."""
    return words.heading(line["code"], line["title"])


@register.filter
def grouped(lines):
    """Stored lines under what they lead to: (title of the group, lines)."""
    found = {key: [] for key, _ in words.GROUPS}
    for line in lines:
        found[words.group_of(line["need"], line.get("leads_to", words.REPORT))].append(line)
    return [(title, found[key]) for key, title in words.GROUPS if found[key]]


@register.filter
def kind_title(kind):
    return edition_text.titles([kind])


@register.filter
def kind_titles(kinds):
    return edition_text.titles(kinds)


@register.filter
def entry_value(entry):
    """An entry of an edition as the trail shows it."""
    return edition_text.said(entry)
