"""How the record writes a moment: ISO 8601 to the second, with its offset."""


def when(moment):
    return moment.isoformat(timespec="seconds")
