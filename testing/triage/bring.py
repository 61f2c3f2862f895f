"""What the owner must bring or arrange, in plain words, from what the triage requires."""

from vehicles.calculations.requirement import EVIDENCE

ALWAYS = ("The registration papers and the key to the wheel nuts.",)
FOR_A_TEST = (
    "Insurance cover for the market value on the test day, in writing (or ask us to arrange it).",
    "Spare wheel, jack and tools in their places: they belong to the mass.",
    "Roof rack load and loose items taken off.",
    "Tyres that are fit for the test, at placard pressure.",
)
# Evidence that an owner has at home; the rest is measured or written by the workshop.
FROM_THE_OWNER = ("RECEIPTS", "KIT_APPROVAL", "WHEEL_ALIGNMENT", "ENGINE_PAPERS", "BRAKE_PAPERS", "SEAT_PAPERS")


def list_for(lines):
    """The list for a job whose lines stand as given."""
    needed = {line.code for line in lines if line.need not in ("not_required", "not_applicable")}
    papers = tuple(
        f"{line.computed['title']}."
        for line in lines
        if line.computed["leads_to"] == EVIDENCE and line.code in needed and line.code in FROM_THE_OWNER
    )
    return (FOR_A_TEST if "LT2" in needed else ()) + papers + ALWAYS
