"""Signs that a reader does not see and that change what is read: no name and no number has any."""

import unicodedata

from django.core.exceptions import ValidationError

# They turn the order of what follows round, so that a name reads as another one.
_TURNING = {*range(0x202A, 0x202F), *range(0x2066, 0x206A)}


def hidden(text):
    """The first sign of the text that cannot be seen, as U+XXXX, or None. Line ends are no matter of names either."""
    found = (sign for sign in text if ord(sign) in _TURNING or unicodedata.category(sign) in ("Cc", "Cs"))
    return next((f"U+{ord(sign):04X}" for sign in found), None)


def check_visible(text):
    """Validator of a form's field: refuses what cannot be seen."""
    if sign := hidden(str(text)):
        raise ValidationError(
            f"It holds a sign that cannot be seen, {sign}. Allowed are letters, digits, blanks, signs that show."
        )
