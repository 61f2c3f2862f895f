"""A phone without reception reads a number as the server will."""

import pytest
from django.conf import settings
from django.forms import ValidationError

from tests.vehicles.test_fields import MONEY, READ, REFUSED, WIND
from vehicles.fields import QuantityField

pytestmark = pytest.mark.browser


STATIC = settings.BASE_DIR / "config" / "static"


def server(text):
    try:
        return QuantityField(row=MONEY).clean(text)
    except ValidationError:
        return "refused"


def test_the_phone_reads_numbers_as_the_server_does(browser):
    page = browser.new_page()
    page.add_script_tag(path=STATIC / "day-sheet-ahead.js")
    typed = [*READ, *REFUSED]
    phone = page.evaluate("all => all.map(dayAhead.number).map((one) => Number.isNaN(one) ? 'refused' : one)", typed)
    page.close()
    assert dict(zip(typed, phone, strict=True)) == {text: server(text) for text in typed}


def test_the_phone_refuses_in_the_servers_words(browser):
    page = browser.new_page()
    page.add_script_tag(content='const daySync = { state: () => ({ ranges: { wind_mps: [0, 80, "m/s"] } }) };')
    for name in ("day-sheet-ahead.js", "day-sheet-fields.js"):
        page.add_script_tag(path=STATIC / name)
    for text in ("0,9", "1,2", "81", "calm"):
        with pytest.raises(ValidationError) as said:
            QuantityField(row=WIND).clean(text)
        assert page.evaluate("text => dayFields.range('wind_mps', text)", text) == said.value.messages[0]
    page.close()
