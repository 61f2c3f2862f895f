"""The seal of a certificate: a hash over all it says and over the seal of the one before."""

import hashlib

from certificates.canonical import canonical

FIRST_PREDECESSOR = "0" * 64


def seal_of(record, previous_seal):
    """SHA-256, in hexadecimal, over the previous seal, a line end and the canonical record.

    Anybody can compute it again: `printf '%s\\n' PREVIOUS | cat - record.json | sha256sum`.
    """
    return seal_over(canonical(record), previous_seal)


def seal_over(canonical_record, previous_seal):
    """The same, of a record that is written as its canonical bytes already."""
    return hashlib.sha256(previous_seal.encode() + b"\n" + canonical_record).hexdigest()


def sha256_of(content):
    return hashlib.sha256(content).hexdigest()
