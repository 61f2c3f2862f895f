"""Reading the forms of a page as a person's browser would."""

from html.parser import HTMLParser

NOT_FILLED_IN = (None, "csrfmiddlewaretoken")


class Fields(HTMLParser):
    """Names and values of what a person can fill in on a page, form by form."""

    def __init__(self):
        super().__init__()
        self.forms = []

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        if tag == "form" and attrs.get("method") == "post":
            self.forms.append((attrs.get("action") or "", {}))
        elif tag in ("input", "select", "textarea") and self.forms and attrs.get("name") not in NOT_FILLED_IN:
            self.forms[-1][1].setdefault(attrs["name"], attrs.get("value") or "")


def forms_of(client, url):
    page = client.get(url)
    if page.streaming:
        b"".join(page)
    if page.status_code != 200 or not page.get("Content-Type", "").startswith("text/html"):
        return
    parser = Fields()
    parser.feed(page.content.decode())
    for action, fields in parser.forms:
        if fields and "/sign-out/" not in action:
            yield action or url, fields


def sent_from(client, url, action):
    """What the form of that page with that address would send if nobody touched it."""
    return next(fields for to, fields in forms_of(client, url) if to == action)
