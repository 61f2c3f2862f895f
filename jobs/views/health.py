"""Whether this installation can answer: for whatever watches over it."""

from django.db import DatabaseError, connection
from django.http import HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from jobs.access import public


@public
@never_cache
@require_safe
def health(request):
    """One word, and nothing about the house: 200 when the database answers, else 503."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return HttpResponse("The database does not answer.", status=503, content_type="text/plain")
    return HttpResponse("ok", content_type="text/plain")
