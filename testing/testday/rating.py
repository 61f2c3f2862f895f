"""Rating the handling from 10 to 1 in the words of SAE J1441."""

from testing.testday.models import MASSES
from testing.testday.procedure import lane_change

# Source: SAE J1441, as quoted (the standard itself was not seen): 10 and 9 excellent, 8 and 7 good, 6 fair,
# 5 borderline, 4 and 3 poor, 2 very poor, 1 not acceptable.
WORDS = {
    10: "excellent", 9: "excellent", 8: "good", 7: "good", 6: "fair", 5: "borderline", 4: "poor", 3: "poor",
    2: "very poor", 1: "not acceptable",
}  # fmt: skip
POOR = 4


def word(value):
    return WORDS.get(value, "")


def problems(ratings):
    """Why these ratings do not carry the word "safe", sentence by sentence."""
    for mass, name in MASSES:
        for aspect, problem in not_carried(ratings.get(mass, {}), lane_change().aspects):
            yield f"{name}, {aspect.text.lower()}: {problem}"


def not_carried(given, aspects):
    """Each aspect whose rating does not carry the word "safe", and why. A remark may explain a poor one."""
    for aspect in aspects:
        value = given.get(aspect.key)
        if value not in WORDS:
            yield aspect, "rate from 10 to 1."
        elif value == 1:
            yield aspect, "1 is “not acceptable”; such a vehicle is not safe."
        elif value <= POOR and not given.get("remark"):
            yield aspect, f"say in the remark why {value}, “{word(value)}”, is safe."
