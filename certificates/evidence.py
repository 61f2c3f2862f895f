"""The files that a certificate rests on, held against the hashes that its record sealed.

The record names every photo, paper and log by its SHA-256. What the database says beside a stored
file could be changed together with the file; what was sealed could not.
"""

import contextlib

from certificates import photos
from certificates.seal import sha256_of


def sealed(record):
    """What each sealed hash stands for, in words."""
    found = {one["sha256"]: f"“{one['caption']}”" for one in record.get("documents", ())}
    for day in record.get("test_days", ()):
        for run in day.get("runs", ()):
            found |= dict.fromkeys(run.get("photos", ()), f"photo of run {run['number']}")
        found |= {log["sha256"]: f"log “{log['original_name']}”" for log in day.get("logs", ())}
    return found


def faults(record, job):
    """One sentence for each sealed file that is not in the store, and for each stored one that was not sealed."""
    named = sealed(record)
    held = {}
    for caption, stored in photos.everything(job):
        try:
            held[sha256_of(photos.content(stored))] = caption
        except (OSError, ValueError):
            continue
    for document in job.vehicle.documents.set_aside():
        # What was set aside before the signing is no evidence, and what was sealed stays on file after it.
        with contextlib.suppress(OSError, ValueError):
            held.setdefault(sha256_of(photos.content(document)), None)
    for digest, called in named.items():
        if digest not in held:
            yield f"{called}: the store does not hold the file that was sealed"
    for digest, caption in held.items():
        if caption is not None and digest not in named:
            yield f"“{caption}”: the stored file is none that was sealed"
