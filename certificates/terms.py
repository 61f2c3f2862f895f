"""How people type numbers, plates, VINs and names, brought to one spelling before it is looked for."""

import re
import unicodedata

NUMBER, PLATE, VIN, OWNER, ENGINEER, MODIFICATION = "no", "pl", "vin", "own", "eng", "mod"
TYPED = (NUMBER, PLATE, VIN, OWNER)
SHORTEST_PART = 4
_LONGEST = 60


def _plain(text):
    if text.isascii():
        return text.upper()
    spread = unicodedata.normalize("NFKD", text).upper()
    return "".join(letter for letter in spread if not unicodedata.combining(letter))


def words(text):
    """The words of a text in capitals, without accents: `O'Neil-Möller` gives O, NEIL and MOLLER."""
    return [word[:_LONGEST] for word in re.findall(r"[^\W_]+", _plain(text)) if word.isalnum()]


def compact(text):
    """Letters and digits alone: `abc-12 d` gives ABC12D."""
    return "".join(words(text))[:_LONGEST]


def keys_of(*, number, plate, vin, owner, engineer, modifications):
    """Every (kind, key) that a line is found by."""
    written = compact(number)
    yield NUMBER, written
    # The last two parts, year and count, are what people remember of a number.
    if tail := "".join(words(number)[-2:])[:_LONGEST]:
        yield NUMBER, tail
    if plate := compact(plate):
        yield PLATE, plate
    vin = compact(vin)
    for start in range(max(1, len(vin) - SHORTEST_PART + 1) if vin else 0):
        yield VIN, vin[start:]
    for kind, text in ((OWNER, owner), (ENGINEER, engineer)):
        for word in words(text):
            yield kind, word
    for code in modifications:
        yield MODIFICATION, compact(code)
