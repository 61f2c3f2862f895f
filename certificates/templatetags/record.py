"""Reading a record aloud: its dates, codes and missing values in words."""

import zoneinfo
from datetime import date, datetime
from decimal import Decimal

from django import template
from django.utils import formats, timezone
from django.utils.html import format_html

from certificates import plots
from testing.testday import rating
from testing.testday.models import MASSES, Run
from testing.testday.procedure import procedure
from testing.triage.words import NEEDS, heading

register = template.Library()
_WORDS = dict(NEEDS) | dict(MASSES) | dict(Run._meta.get_field("outcome").choices)


@register.filter
def in_words(code):
    """A need, a test mass or the outcome of a run, as people say it."""
    return _WORDS.get(code, str(code).replace("_", " "))


@register.filter
def heading_of(line):
    """What a line of the triage is called, as on the screen that was signed."""
    return heading(line["code"], line["title"])


@register.filter
def moment(text, zone=""):
    """A moment of the record, in the zone of the site or of the workshop."""
    if not text:
        return ""
    here = datetime.fromisoformat(text).astimezone(zoneinfo.ZoneInfo(zone) if zone else timezone.get_default_timezone())
    return f"{formats.date_format(here, 'j M Y, H:i')} {here:%Z}"


@register.filter
def time_of_day(text, zone):
    """The clock at the site."""
    return f"{datetime.fromisoformat(text).astimezone(zoneinfo.ZoneInfo(zone)):%H:%M}" if text else ""


@register.filter
def day(text):
    return formats.date_format(date.fromisoformat(text), "j F Y") if text else ""


@register.filter
def measured(value, unit=""):
    """A number with its unit; what was not measured says so."""
    if value in (None, ""):
        return "not recorded"
    number = value if isinstance(value, str) else f"{value:,.10g}"
    return format_html("{}\N{NO-BREAK SPACE}{}", number, unit) if unit else number


@register.filter
def money(text):
    """Dollars as the record keeps them, in text with two decimals."""
    return f"{Decimal(text):,.2f}\N{NO-BREAK SPACE}AUD" if text else "not recorded"


@register.filter
def grouped(digest):
    """A hash in groups of eight, so that an eye can compare it."""
    return " ".join(digest[start : start + 8] for start in range(0, len(digest), 8))


@register.filter
def rounded(value, places):
    """A measured number to so many places; a dash where there is none."""
    return f"{value:.{places}f}" if isinstance(value, int | float) else "–"


@register.filter
def log_cautions(test_day):
    """Each caution about a logged pass once, with the passes that it is about."""
    found = {}
    for log in test_day["logs"]:
        for one in log["passes"]:
            for caution in one["found"].get("cautions", ()):
                name = f"{log['original_name']}, pass {one['number']}"
                found.setdefault(caution, []).append(f"run {one['run']}" if one["run"] else name)
    return [(caution, "; ".join(passes)) for caution, passes in found.items()]


@register.filter
def log_plots(test_day):
    """Name and caption of each plot that the logs of the day allow."""
    captions = {
        "speed": "Speed along the course, by the log",
        "lateral": "Lateral acceleration along the course, by the log",
        "path": "Path over the course with its cones; across drawn larger than along",
    }
    return [(name, captions[name]) for name in plots.logged(test_day)]


@register.filter
def climb_in_words(test_day):
    """What the plot of the runs shows, for those who do not see it."""
    return plots.described(test_day)


@register.filter
def met_parts(met):
    """What met a requirement, part by part."""
    files = [f"{document['kind']} “{document['caption']}”" for document in met.get("documents", ())]
    said = (met.get(name, "").removesuffix(".") for name in ("sheet", "measured", "words"))
    return [*filter(None, said), *files]


def yes_or_no(value):
    return ("yes" if value else "no") if isinstance(value, bool) else value


@register.filter
def simple_facts(values):
    """Name and value of what can be said in a line; series of samples are left to the log itself."""
    for name, value in sorted(values.items()):
        if isinstance(value, str | int | float | bool):
            shown = f"{value:.4g}" if isinstance(value, float) else yes_or_no(value)
            yield name.replace("_", " "), shown


def _by_column(ratings):
    """Ratings at each mass; those of a driving report stand in a column of their own."""
    at_masses = {name: given for name, given in ratings.items() if isinstance(given, dict)}
    return at_masses or {"drive": ratings}


@register.filter
def rated_at(ratings):
    return sorted(_by_column(ratings))


@register.filter
def rating_rows(ratings):
    """One row for each aspect that was rated, in the words and the order of its sheet, with what each column says."""
    columns = _by_column(ratings)
    sheet = procedure("driving_report" if "drive" in columns else "lane_change")
    titles = {aspect.key: aspect.text for aspect in sheet.aspects} | {"remark": "Remark"}
    rated = {aspect for given in columns.values() for aspect in given}
    # A sheet of later years may ask for other aspects: what it does not know any more comes last.
    ordered = [*(key for key in titles if key in rated), *sorted(rated - titles.keys())]
    return [
        {
            "aspect": titles.get(key, in_words(key)),
            "values": [_rated(columns[name].get(key)) for name in sorted(columns)],
        }
        for key in ordered
        if any(columns[name].get(key) for name in columns)
    ]


@register.filter
def looked_at(keys):
    """What was looked at before a drive for a report, in the words of its sheet."""
    texts = {item.key: item.text for item in procedure("driving_report").checks}
    return [texts.get(key, in_words(key)) for key in keys]


def _rated(value):
    """A rating with its word, as on the sheet; a remark as it was written."""
    return f"{value}, {rating.word(value)}" if rating.word(value) else value
