"""A phone without reception reads a number as the server will."""

import pytest
from django.conf import settings
from django.forms import ValidationError

from tests.vehicles.test_fields import MONEY, READ, REFUSED
from vehicles.fields import QuantityField

pytestmark = pytest.mark.browser


def server(text):
    try:
        return QuantityField(row=MONEY).clean(text)
    except ValidationError:
        return "refused"


def test_the_phone_reads_numbers_as_the_server_does(browser):
    page = browser.new_page()
    page.add_script_tag(path=settings.BASE_DIR / "config" / "static" / "day-sheet-ahead.js")
    typed = [*READ, *REFUSED]
    phone = page.evaluate("all => all.map(dayAhead.number).map((one) => Number.isNaN(one) ? 'refused' : one)", typed)
    page.close()
    assert dict(zip(typed, phone, strict=True)) == {text: server(text) for text in typed}
