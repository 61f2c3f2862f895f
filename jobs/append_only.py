"""Rows that are written once: refused by the model, by the queryset and by the database."""

from django.db import models
from django.db.migrations.operations.base import Operation


class Immutable(Exception):
    """Somebody tried to change or remove what was written once."""


def _refuse(rows, *args, **kwargs):
    model = getattr(rows, "model", type(rows))
    raise Immutable(f"{model._meta.verbose_name}: written once, never changed or removed")


class AppendOnlyQuerySet(models.QuerySet):
    update = delete = bulk_update = update_or_create = _refuse


class AppendOnly(models.Model):
    """Base of what is written once. Put `AppendOnlyTable` into the migration that creates the table."""

    objects = AppendOnlyQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        if not self._state.adding:
            _refuse(self)
        super().save(*args, **kwargs)

    delete = _refuse


_SQLITE = """
CREATE TRIGGER IF NOT EXISTS {table}_no_{verb} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, '{table} is written once'); END
"""
_POSTGRES_FUNCTION = """
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger AS $$
BEGIN RAISE EXCEPTION '% is written once', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END
$$ LANGUAGE plpgsql
"""
_POSTGRES = """
CREATE OR REPLACE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
FOR EACH ROW EXECUTE FUNCTION refuse_change()
"""
VERBS = ("UPDATE", "DELETE")


def close_table(schema_editor, table):
    """From now on the database itself refuses to change or remove a row of the table."""
    postgres = schema_editor.connection.vendor == "postgresql"
    if postgres:
        schema_editor.execute(_POSTGRES_FUNCTION, params=None)
    for verb in VERBS:
        sql = (_POSTGRES if postgres else _SQLITE).format(table=table, verb=verb)
        schema_editor.execute(sql, params=None)


def open_table(schema_editor, table):
    """Lift the refusal: for undoing a migration, and for emptying a test database."""
    suffix = f" ON {table}" if schema_editor.connection.vendor == "postgresql" else ""
    for verb in VERBS:
        schema_editor.execute(f"DROP TRIGGER IF EXISTS {table}_no_{verb}{suffix}", params=None)


class AppendOnlyTable(Operation):
    """Migration operation: close the table of a model against UPDATE and DELETE."""

    reversible = True

    def __init__(self, model_name):
        self.model_name = model_name

    def deconstruct(self):
        return type(self).__name__, [self.model_name], {}

    def state_forwards(self, app_label, state):
        pass

    def _table(self, app_label, state):
        return state.apps.get_model(app_label, self.model_name)._meta.db_table

    def database_forwards(self, app_label, schema_editor, from_state, to_state):
        close_table(schema_editor, self._table(app_label, to_state))

    def database_backwards(self, app_label, schema_editor, from_state, to_state):
        open_table(schema_editor, self._table(app_label, from_state))

    def describe(self):
        return f"Close {self.model_name} against change"
