"""What a job is found by, and what people type to find it, brought into one form."""

import re
import unicodedata


def compact(text):
    """Small letters and digits only, without accents: `SLT-42b` and `slt42B` are one plate."""
    plain = unicodedata.normalize("NFKD", str(text)).casefold()
    return "".join(char for char in plain if char.isalnum() or char == "@")


def phone_digits(text):
    """The digits of an Australian number as dialled here: `+61 491 570 110` and `0491 570 110` are one."""
    digits = re.sub(r"\D", "", text)
    return f"0{digits[2:].removeprefix('0')}" if digits.startswith("61") and len(digits) >= 10 else digits


def words_of(typed):
    """The words to look for. A telephone number typed in groups is one word."""
    # Dialled from abroad: it begins here with a nought, however much of it is typed yet.
    typed = re.sub(r"^\s*\(?\s*\+\s*61\s*\)?[\s-]*(?:\(0\)|0)?[\s-]*", "0", typed)
    groups = re.sub(r"(?<=[\d+)])[\s-]+(?=\d)", "", typed) if re.match(r"\s*[+(]?\s*(0|61)", typed) else typed
    words = (phone_digits(word) if re.fullmatch(r"[+(]?[\d()]{8,}", word) else compact(word) for word in groups.split())
    return [word for word in words if word]


def text_of(job):
    """Everything a job is found by, word by word."""
    vehicle, owner = job.vehicle, job.owner
    words = [
        *(job.number, vehicle.plate, vehicle.vin, phone_digits(owner.phone), owner.email),
        *f"{vehicle.built_year or ''} {vehicle.make} {vehicle.model} {owner.name}".split(),
    ]
    return " ".join(filter(None, map(compact, words)))
