"""Every table that is written once is closed in the database, after whatever migration rebuilt it."""

import pytest
from django.apps import apps
from django.db import connection

from jobs.append_only import VERBS, AppendOnly

TRIGGERS = {
    "sqlite": "SELECT lower(name) FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT lower(tgname) FROM pg_trigger WHERE NOT tgisinternal",
}
WRITTEN_ONCE = [model for model in apps.get_models() if issubclass(model, AppendOnly)]


@pytest.mark.django_db
@pytest.mark.parametrize("model", WRITTEN_ONCE, ids=lambda model: model.__name__)
def test_the_database_refuses_update_and_delete(model):
    with connection.cursor() as cursor:
        cursor.execute(TRIGGERS[connection.vendor])
        names = {name for (name,) in cursor.fetchall()}
    assert {f"{model._meta.db_table}_no_{verb.lower()}" for verb in VERBS} <= names
