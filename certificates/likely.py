"""Which files of a job are likely to meet a line, by the words of both; the engineer confirms."""

import re

# Words that many titles share say nothing about a file.
_EVERYWHERE = {
    "after",
    "before",
    "each",
    "whole",
    "work",
    "with",
    "paper",
    "papers",
    "report",
    "result",
    "your",
    "other",
}
_SHORTEST = 4


def stems(title):
    """The words of a title that a caption can be recognised by, without a plural s.

    >>> sorted(stems("Receipts of the parts and of the work"))
    ['part', 'receipt']
    """
    words = re.findall(r"[a-z]+", title.lower())
    return {word.rstrip("s") for word in words if len(word) >= _SHORTEST and word not in _EVERYWHERE}


def wants_photos(title):
    return "photo" in title.lower()


def sorted_for(title, documents):
    """(likely, other) files for a line. A line about photographs takes every photo as likely."""
    wanted = stems(title)
    likely, other = [], []
    for document in documents:
        fits = any(word.startswith(stem) for stem in wanted for word in re.findall(r"[a-z]+", document.caption.lower()))
        fits = fits or (wants_photos(title) and document.kind == document.Kind.PHOTO)
        (likely if fits else other).append(document)
    return likely, other
