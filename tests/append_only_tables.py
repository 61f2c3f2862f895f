"""Emptying a test database deletes rows that the product never lets anybody delete."""

from django.apps import apps
from django.db import connection

from jobs.append_only import AppendOnly


def _tables():
    return [model._meta.db_table for model in apps.get_models() if issubclass(model, AppendOnly)]


def each_table(act):
    """Do `close_table` or `open_table` to every table that is written once."""
    with connection.schema_editor() as editor:
        for table in _tables():
            act(editor, table)
