"""What two editions of the price book say differently, in the words of the form they are written with."""

from jobs.workshop.price_forms import FOR, EditionForm, initial_of

_CHARGED = dict(FOR)


def between(was, now):
    """(what, as it was, as it is) for each difference between the data of two editions."""
    head_was, rows_was = initial_of(was)
    head_now, rows_now = initial_of(now)
    for name, field in EditionForm.base_fields.items():
        yield from _difference(field.label, _number(head_was.get(name)), _number(head_now.get(name)))
    lines_was, lines_now = ({row["key"]: row for row in rows} for rows in (rows_was, rows_now))
    for key in dict.fromkeys([*lines_was, *lines_now]):
        before, after = lines_was.get(key), lines_now.get(key)
        yield from _difference((before or after)["label"], _line(before), _line(after))


def _difference(what, was, now):
    if was != now:
        yield what, was, now


def _number(value):
    # 1.3 of a file and 1.30 of a form are one number.
    return "" if value is None else f"{float(value):g}"


def _line(row):
    if row is None:
        return "no such line"
    prices = " / ".join(f"${float(row[name]):,.2f}" for name in ("low_aud", "likely_aud", "high_aud"))
    words = [row["label"], _CHARGED.get(row["needed_for"], row["needed_for"]), prices, f"{row['again']} % paid again"]
    return ", ".join([*words, *([row["note"]] if row.get("note") else [])])
