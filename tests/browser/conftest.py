"""Real Chromium over the running site, as each of the people, on a phone and on a desk."""

import os
import shutil
import threading
import time
from pathlib import Path
from urllib.request import urlopen

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.db import connection
from PIL import Image
from playwright.sync_api import expect, sync_playwright

from tests.factories import PASSWORD

WIDTHS = {"phone": 390, "desk": 1280}
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
expect.set_options(timeout=30_000)
PICTURES = Path(__file__).parent / "pictures"
README = Path(__file__).resolve().parents[2] / "README.md"
TALLEST = 1600


def _chromium():
    names = ("chromium", "chromium-browser", "google-chrome")
    return os.environ.get("JOBBOOK_CHROMIUM") or next(filter(None, map(shutil.which, names)), None)


@pytest.fixture(scope="session")
def browser():
    path = _chromium()
    if path is None:
        pytest.fail("No Chromium found. `python3 manage.py test` installs it, or set JOBBOOK_CHROMIUM to its path.")
    # Playwright keeps an event loop in this thread; the test's own queries stay plain ones.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def open_page(browser, live_server):
    """`open_page(user)`: a window of that person, signed in through the form; nobody's without a user."""
    contexts = []

    def open_(user=None, width=WIDTHS["desk"]):
        context = browser.new_context(
            base_url=live_server.url, viewport={"width": width, "height": 900}, accept_downloads=True
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(30_000)
        page.faults = []
        page.on("pageerror", lambda error: page.faults.append(str(error)))
        page.on("console", lambda said: page.faults.append(said.text) if said.type == "error" else None)
        if user:
            page.goto("/sign-in/")
            page.get_by_label("Username").fill(user.username)
            page.get_by_label("Password").fill(PASSWORD)
            page.get_by_role("button", name="Sign in").click()
            page.wait_for_load_state()
        return page

    yield open_
    for context in contexts:
        context.close()
    _wait_until_answered(live_server)


def _wait_until_answered(live_server):
    """A page may close with a request under way; emptying the tables beside its answer would lock both.

    The test's server answers each connection in a thread, which ends after its last query and its own connection to
    the database. A look at the database would not do: between two queries of an answer it is idle.
    """
    # Connections are taken in turn: when this one was answered, all before it have their thread.
    with urlopen(f"{live_server.url}/static/notebook.css") as answer:  # noqa: S310  our own server
        answer.read()
    for _ in range(100):
        answering = [thread for thread in threading.enumerate() if "(process_request_thread)" in thread.name]
        if not answering:
            return
        time.sleep(0.1)
    pytest.fail(f"After 10 s the test's server still answers pages that are closed: {answering}")


def _keep_small(picture, to):
    """The top of a page in few colours: enough to see what it is, little to carry around."""
    with Image.open(picture) as whole:
        top = whole.crop((0, 0, whole.width, min(whole.height, TALLEST)))
        top.convert("RGB").quantize(64).save(to, optimize=True)


@pytest.fixture
def look(tmp_path):
    """`look(page, name)`: picture the page at both widths, and find what keeps people out.

    Pictures go to a scratch folder; with JOBBOOK_PICTURES=1 those of the README's tour are renewed. How a page looks
    does not hang on the database, and looking costs the larger half of these tests: it is done on SQLite.
    """
    tour = README.read_text(encoding="utf-8") if os.environ.get("JOBBOOK_PICTURES") == "1" else ""

    def look_(page, name):
        assert page.faults == []
        if connection.vendor != "sqlite":
            return
        before = page.viewport_size
        for device, width in WIDTHS.items():
            page.set_viewport_size({"width": width, "height": 900})
            wide = page.evaluate("document.documentElement.scrollWidth")
            assert wide <= width, f"{name} is {wide} px wide on a screen of {width} px"
            found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
            assert found.violations_count == 0, f"{name} at {width} px: {found.generate_report()}"
            picture = tmp_path / f"{name}-{device}.png"
            page.screenshot(path=picture, full_page=True)
            if picture.name in tour:
                _keep_small(picture, PICTURES / picture.name)
        page.set_viewport_size(before)
        assert page.faults == []

    return look_
