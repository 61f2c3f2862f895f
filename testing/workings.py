"""Workings as the screen shows them: plain data, with the value printed beside its unit."""

from dataclasses import asdict

from vehicles.calculations.wording import plain

DECIMALS = 4


def shown(workings):
    """For `_workings_fold.html`: each with its value as it is printed."""
    return [printed(asdict(working)) for working in workings]


def printed(working):
    """One working with its value and unit as text."""
    value = working["value"]
    text = "undecided" if value is None else f"{plain(round(value, DECIMALS))} {working['unit']}"
    return {**working, "printed": text}
