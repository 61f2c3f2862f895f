"""The workshop's own times and habits of planning, from fixtures/planner.json."""

import json
from functools import cache

from django.conf import settings

PLANNER = settings.BASE_DIR / "fixtures" / "planner.json"


@cache
def habits():
    return json.loads(PLANNER.read_text(encoding="utf-8"))
