"""Workshop, estimates and owners at their page, for the tests."""

import io
from datetime import timedelta
from types import SimpleNamespace

from django.conf import settings

from jobs import owner_page
from jobs.estimates import versions
from jobs.models import Workshop
from jobs.owners import opened

PHONE_PHOTO = (640, 480)


def workshop(**changed):
    """The workshop with everything that an estimate has to carry."""
    facts = {
        "name": "Quandong Engineering",
        "address": "Lot 7, Mulga Road, Saltbush NSW 2999",
        "phone": "02 5550 0100",
        "email": "desk@quandong.example",
        "abn": "51 824 753 556",
        "terms": "Not a quote.\n\nA retest is charged after a yes.",
    }
    return Workshop.objects.create(**{**facts, **changed})


def let_in(client, job):
    """A browser in which the owner has typed the code."""
    link = job.owner_links.standing().first()
    session = client.session
    opened.remember(SimpleNamespace(session=session), link, holds_for=timedelta(hours=1))
    session.save()
    client.cookies[settings.SESSION_COOKIE_NAME] = session.session_key
    return client


def address(job, rest=""):
    return f"/owner/{job.owner_token}/{rest}"


def sent_estimate(job, by, **details):
    """A version written and sent; the workshop must be entered."""
    estimate = versions.write(job=job, by=by, **details)
    versions.send(estimate=estimate, by=by)
    return estimate


def photo(size=PHONE_PHOTO, kind="JPEG", name="front.jpg"):
    from PIL import Image

    data = io.BytesIO(b"")
    Image.new("RGB", size, "#8899aa").save(data, kind)
    data.seek(0)
    data.name = name
    return data


def offer(monkeypatch, *mornings):
    """The planner offers these mornings to every job."""
    monkeypatch.setattr(owner_page, "_mornings", [lambda job: mornings])
