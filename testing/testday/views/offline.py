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
from testing.testday.state import state_of


@allow("testing.drive", "testing.run_test_day")
@require_POST
def sync(request, pk):
    """Take the entries of one device; sending the same ones again changes nothing."""
    day = access.recordable_day(request, pk)
    try:
        answers = offline.take_all(day=day, by=request.user, sent=json.loads(request.body))
    except (ValueError, RecursionError, RequestDataTooBig) as error:
        return JsonResponse({"problem": f"Not readable: {error}"[:200]}, status=400)
    drafts.forget(request.user, reverse("testing:add_run", args=[pk]))
    return JsonResponse({"answers": answers, "state": state_of(access.readable_day(request, pk), request.user)})


@public
@never_cache
@require_safe
def worker(request):
    """The service worker. Served by a view: its address decides which pages it may keep."""
    with open(finders.find("day-sheet-worker.js"), encoding="utf-8") as script:  # noqa: PTH123  finders give a str
        answer = HttpResponse(script.read(), content_type="text/javascript; charset=utf-8")
    answer.headers["Service-Worker-Allowed"] = "/day-sheets/"
    return answer
