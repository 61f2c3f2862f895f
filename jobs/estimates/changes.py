"""What differs between two sets of lines, in sentences, and whether the owner has to be asked again."""

from decimal import Decimal

from jobs.estimates.compute import price
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


def scope_changed(job):
    """Sentences why the accepted estimate no longer covers the job; empty while it does, and once the job is closed.

    Another set of lines is another scope. A price that only moved inside the accepted range is not.
    """
    if job.done:
        return []
    agreed, now = accepted(job), price(job)
    if agreed is None or now is None:
        return []
    kept = [line for line in agreed.lines if line["key"] != "retest"]
    same_lines = {line["key"] for line in kept} == {line["key"] for line in now.lines}
    if same_lines and now.result.likely_aud <= agreed.high_aud:
        return []
    return list(differences(kept, now.lines))
