"""What differs between two sets of lines, in sentences, and whether the owner has to be asked again."""

from decimal import Decimal

from jobs.estimates.compute import RETEST, price
from jobs.estimates.versions import accepted


def differences(before, after):
    """One sentence for each line that came, went or changed its price."""
    old, new = ({line["key"]: line for line in lines} for lines in (before, after))
    for key, line in new.items():
        if key not in old:
            yield f"New: {line['label']}, likely ${Decimal(line['likely']):,.2f}."
        elif Decimal(line["likely"]) != Decimal(old[key]["likely"]):
            was, now = (Decimal(lines[key]["likely"]) for lines in (old, new))
            yield f"{line['label']}: likely ${now:,.2f} instead of ${was:,.2f}."
    for key, line in old.items():
        if key not in new:
            yield f"No longer needed: {line['label']}, likely ${Decimal(line['likely']):,.2f}."


def retests_in(estimate):
    """Further test days that a version counts; a version written before they were numbered counts one."""
    return next((line.get("times", 1) for line in estimate.lines if line["key"] == RETEST), 0)


def scope_changed(job):
    """Sentences why the accepted estimate no longer covers the job; empty while it does, and once the job is closed.

    Another set of lines is another scope, and so is a further test day. A price that only moved inside the accepted
    range is not, nor is a new edition of the price book: the owner agreed to the prices of theirs.
    """
    agreed = None if job.done else accepted(job)
    if agreed is None:
        return []
    now, allowed = price(job, edition=agreed.price_book), retests_in(agreed)
    if now is not None and now.retests < allowed:
        now = price(job, edition=agreed.price_book, retests=allowed)
    if now is None:
        return []
    same_lines = {line["key"] for line in agreed.lines} == {line["key"] for line in now.lines}
    if same_lines and now.retests == allowed and now.result.likely_aud <= agreed.high_aud:
        return []
    return list(differences(agreed.lines, now.lines))
