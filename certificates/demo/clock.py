"""A story has a past: what happened days ago is written with the time at which it happened."""

from contextlib import contextmanager
from datetime import UTC
from unittest import mock

from django.utils import timezone


@contextmanager
def at(moment):
    """Within this block `timezone.now()` says the moment. Only the demo moves the clock."""
    moment = moment.astimezone(UTC)  # as the real clock says it
    with mock.patch.object(timezone, "now", lambda: moment):
        yield
