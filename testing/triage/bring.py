"""What the owner must bring or arrange, in plain words, from what the triage requires."""

ALWAYS = (
    "Receipts and kit papers of everything that was fitted.",
    "The registration papers and the key to the wheel nuts.",
)
FOR_A_TEST = (
    "Insurance cover for the market value on the test day, in writing (or ask us to arrange it).",
    "Spare wheel, jack and tools in their places: they belong to the mass.",
    "Roof rack load and loose items taken off.",
    "Tyres that are fit for the test, at placard pressure.",
)


def list_for(lane_change_need):
    """The list for a job whose lane-change test stands as given."""
    return ALWAYS if lane_change_need in ("not_required", "not_applicable") else FOR_A_TEST + ALWAYS
