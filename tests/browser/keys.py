"""Pages as hands and eyes meet them: by keys alone, counted; zoomed; on paper."""

import unicodedata
from dataclasses import dataclass, field
from io import BytesIO

from pypdf import PdfReader

# Keystroke-level model, Card, Moran and Newell, Communications of the ACM 23 (1980), table 1:
# one key of an average non-secretary typist, and the mental preparation before a unit of thought.
KEY_S, MENTAL_S = 0.28, 1.35

FOCUSED = "(document.activeElement.labels?.[0] || document.activeElement).innerText.trim()"


@dataclass
class Keys:
    """A keyboard and nothing else: no mouse, no script, no label that finds a field."""

    page: object
    pressed: int = 0
    thoughts: int = 0
    log: list = field(default_factory=list)

    def type(self, text):
        """Think once, then type it, into whatever has the focus."""
        self.thoughts += 1
        self.pressed += len(text)
        self.log.append(text)
        self.page.keyboard.type(text)

    def press(self, *names):
        for name in names:
            self.pressed += 1
            self.log.append(name)
            self.page.keyboard.press(name)

    def enter(self):
        """Enter, and wait for what it brings; deciding to press it is a thought of its own."""
        self.thoughts += 1
        self.press("Enter")
        self.page.wait_for_load_state()

    @property
    def seconds(self):
        return self.pressed * KEY_S + self.thoughts * MENTAL_S

    def at(self, label):
        """Wait until the focus stands at what is called so; a person would see it and go on."""
        script = f"() => ({FOCUSED}).startsWith({label!r})"
        self.page.wait_for_function(script)


def tab_to(page, name, *, at_most=80):
    """Press Tab until the focus stands at what is called so, and see that it can be seen there."""
    for _ in range(at_most):
        page.keyboard.press("Tab")
        if page.evaluate(f"(name) => new RegExp(name).test({FOCUSED})", name):
            outline = "getComputedStyle(document.activeElement).outlineStyle"
            assert page.evaluate(f"{outline} !== 'none'"), f"nothing shows that the focus is at {name}"
            return
    raise AssertionError(f"{name} is not reached with the Tab key on {page.url}")


def enter_at(page, name):
    """Go to a link or button with Tab, press Enter, and wait for what it brings."""
    tab_to(page, name)
    with page.expect_navigation():
        page.keyboard.press("Enter")


def type_at(page, name, text):
    tab_to(page, name)
    page.keyboard.press("Control+A")
    page.keyboard.type(text)


def on_paper(page):
    """The words of the page as it is printed on A4."""
    pages = PdfReader(BytesIO(page.pdf(format="A4"))).pages
    text = " ".join(sheet.extract_text() for sheet in pages)
    return " ".join(unicodedata.normalize("NFKC", text).split())  # printed letters may be joined


def stands_zoomed(page):
    """At 200 % of a desk screen and at 400 %, which is a small phone: WCAG 2.2, 1.4.4 and 1.4.10 (320 CSS pixels)."""
    before = page.viewport_size
    for width in (640, 320):
        page.set_viewport_size({"width": width, "height": 450})
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, f"{page.url} is {wide} px wide on {width} px"
    page.set_viewport_size(before)
