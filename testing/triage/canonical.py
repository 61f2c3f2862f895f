"""Comparing stored data with data that was computed just now."""

import json


def plain(data):
    """The data as a database hands it back: no tuples, no decimals, keys in order."""
    return json.loads(json.dumps(data, sort_keys=True, default=str))


def same(one, other):
    return plain(one) == plain(other)
