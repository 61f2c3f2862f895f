"""Links carry the address that owners reach the site at, or say that nobody entered one."""

import pytest

from config.bootstrap import demo
from jobs.workshop.addresses import absolute
from tests.owner_side import workshop

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _nothing_from_outside(monkeypatch):
    for name in ("JOBBOOK_ADDRESS", "JOBBOOK_PORT"):
        monkeypatch.delenv(name, raising=False)


def test_the_demo_on_another_port_links_to_itself(monkeypatch, settings):
    settings.ALLOWED_HOSTS = ["127.0.0.1"]
    assert absolute("/x/") == "http://127.0.0.1:8000/x/"
    monkeypatch.setenv("JOBBOOK_PORT", demo.own_environment(8001)["JOBBOOK_PORT"])
    assert absolute("/x/") == "http://127.0.0.1:8001/x/"


def test_the_settings_warn_until_an_address_is_entered(as_, admin_user):
    workshop()
    page = as_(admin_user).get("/workshop/").content.decode()
    assert "No address of this site is entered." in page
    workshop(web_address="https://book.example/")
    assert absolute("/x/") == "https://book.example/x/"
    assert "No address of this site" not in as_(admin_user).get("/workshop/").content.decode()
