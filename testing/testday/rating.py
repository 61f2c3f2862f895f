"""Rating the handling from 10 to 1 in the words of SAE J1441."""

from testing.testday.models import MASSES
from testing.testday.procedure import lane_change

# Source: SAE J1441, as quoted: 10 and 9 excellent, 8 and 7 good, 6 fair, 5 borderline, 4 and 3 poor,
# 2 very poor, 1 not acceptable.
WORDS = {
    10: "excellent", 9: "excellent", 8: "good", 7: "good", 6: "fair", 5: "borderline", 4: "poor", 3: "poor",
    2: "very poor", 1: "not acceptable",
}  # fmt: skip
SOURCE = "SAE J1441, words of the scale as quoted (the standard itself was not seen)"
POOR = 4


def word(value):
    return WORDS.get(value, "")


def problems(ratings):
    """Why these ratings do not carry the word "safe", sentence by sentence."""
    for mass, name in MASSES:
        given = ratings.get(mass, {})
        for aspect in lane_change().aspects:
            value = given.get(aspect.key)
            if value not in WORDS:
                yield f"{name}, {aspect.text.lower()}: rate from 10 to 1."
            elif value == 1:
                yield f"{name}, {aspect.text.lower()}: 1 is “not acceptable”; such a vehicle is not safe."
            elif value <= POOR and not given.get("remark"):
                yield f"{name}, {aspect.text.lower()}: say in the remark why {value}, “{word(value)}”, is safe."
