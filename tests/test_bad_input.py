"""Bad input at every form of the site: never a failure of ours, a message instead, nothing typed lost."""

import re

import pytest
from django.db import transaction

from jobs.models import User
from tests.pages import Fields, forms_of
from tests.test_access import DRIVER, NOBODY, TABLE
from tests.world import url_of

pytestmark = pytest.mark.django_db

BAD = ["", " ", "nul\x00byte", "NaN", "-1", "1e999", "9" * 400, "<script>", "٣", "🚙" * 50, "2026-02-31", "a" * 5000]


def attempts(fields):
    """Everything bad at once, and each field bad by itself among the values that stood there."""
    for bad in BAD:
        yield dict.fromkeys(fields, bad)
    for number, name in enumerate(fields):
        yield {**fields, name: BAD[number % len(BAD)]}


def who(allowed):
    role = min(allowed - {NOBODY, DRIVER} or allowed)
    return None if role == NOBODY else User.objects.get(username=role)


def test_no_form_fails_on_bad_input(client, world):
    tried, failed = 0, []
    for name, allowed in TABLE.items():
        client.force_login(who(allowed))
        for action, fields in forms_of(client, url_of(name, world)):
            for data in attempts(fields):
                with transaction.atomic():
                    response = client.post(action, data)
                    transaction.set_rollback(True)
                tried += 1
                if response.status_code >= 500:
                    failed.append((action, data))
    assert failed == []
    assert tried > 300


def test_a_refused_form_shows_what_was_typed(client, world):
    lost = []
    for name, allowed in TABLE.items():
        client.force_login(who(allowed))
        for action, fields in forms_of(client, url_of(name, world)):
            typed = {field: f"typed {number}" for number, field in enumerate(fields) if field != "path"}
            with transaction.atomic():
                page = client.post(action, typed)
                transaction.set_rollback(True)
            if page.status_code != 200 or not re.search(r'class="errors"', page.content.decode()):
                continue
            parser = Fields()
            parser.feed(page.content.decode())
            kept = {value for _, shown in parser.forms for value in shown.values()} | set(
                re.findall(r">\s*(typed \d+)\s*</textarea>", page.content.decode())
            )
            text_fields = [field for field in typed if _takes_text(page.content.decode(), field)]
            lost += [(action, field) for field in text_fields if typed[field] not in kept]
    assert lost == []


def _takes_text(html, field):
    return re.search(rf'<input type="(text|email|search)" name="{field}"|<textarea name="{field}"', html)
