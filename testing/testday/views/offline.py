"""What a phone sends when reception is back, and the worker that keeps the sheet without it."""

import json

from django.contrib.staticfiles import finders
from django.core.exceptions import RequestDataTooBig
from django.http import HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from jobs import drafts
from jobs.access import allow, public
from testing.testday import access, offline
from testing.testday.models import MASSES
from testing.testday.state import state_of


@allow("testing.drive", "testing.run_test_day")
@require_POST
def sync(request, pk):
    """Take the entries of one device; sending the same ones again changes nothing."""
    day = access.recordable_day(request, pk)
    try:
        sent = json.loads(request.body)
        answers = offline.take_all(day=day, by=request.user, sent=sent)
    except (ValueError, RecursionError, RequestDataTooBig) as error:
        return JsonResponse({"problem": f"Not readable: {error}"[:200]}, status=400)
    _forget_drafts(request.user, pk, sent)
    return JsonResponse({"answers": answers, "state": state_of(access.readable_day(request, pk), request.user)})


_FORMS = {"run": "add_run", "stop": "stop", "statement": "sign_statement", "loading": "load", "release": "go_on"}


def _forget_drafts(user, pk, sent):
    """What was typed into these forms has arrived, or is kept word for word."""
    for entry in filter(lambda entry: isinstance(entry, dict), sent["entries"]):
        kind, data = entry.get("kind"), entry.get("data")
        if not isinstance(kind, str) or kind not in _FORMS or not isinstance(data, dict):
            continue
        mass = [data.get("mass")] if kind in ("loading", "release") else []
        if mass and mass[0] not in list(dict(MASSES)):
            continue
        drafts.forget(user, reverse(f"testing:{_FORMS[kind]}", args=[pk, *mass]))


@public
@never_cache
@require_safe
def worker(request):
    """The service worker. Served by a view: its address decides which pages it may keep."""
    with open(finders.find("day-sheet-worker.js"), encoding="utf-8") as script:  # noqa: PTH123  finders give a str
        answer = HttpResponse(script.read(), content_type="text/javascript; charset=utf-8")
    answer.headers["Service-Worker-Allowed"] = "/day-sheets/"
    return answer
