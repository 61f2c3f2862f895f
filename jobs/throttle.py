"""Slowing down whoever tries too often, with nothing but the database: it holds for every web process at once."""

import ipaddress
from time import time

from django.conf import settings
from django.db.models import F
from django.utils.crypto import salted_hmac

from jobs.models import Visits


def place_of(request):
    """Where a request comes from. Behind our own proxy (HTTPS) that is what the proxy wrote last, not what a visitor
    claims. Of IPv6 the network counts: one connection owns a whole one and could come from another address each time.
    """
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.HTTPS else ""
    address = forwarded.rpartition(",")[2].strip() or request.META.get("REMOTE_ADDR", "")
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address
    return str(ipaddress.ip_network((parsed, 64), strict=False)) if parsed.version == 6 else str(parsed)


class Limit:
    """At most so many tries in each stretch of so many seconds, for each `who`."""

    def __init__(self, name, *, most, seconds):
        self.name, self.most, self.seconds = name, most, seconds

    def over(self, *who):
        """Count a try. True when it is one too many."""
        return self.count(*who) > self.most

    def count(self, *who):
        """Count a try and say how many there are now. Counting comes first, so a hundred at once are a hundred."""
        row = self._row(*who)
        if not row.update(count=F("count") + 1):
            # Two at once make one row; what is over is cleared by whoever makes a new one.
            Visits.objects.bulk_create(
                [Visits(visitor=self._hash(*who), until=self._until(), count=0)], ignore_conflicts=True
            )
            row.update(count=F("count") + 1)
            Visits.objects.filter(until__lt=time() - 1).delete()
        return self.tries(*who)

    def tries(self, *who):
        return self._row(*who).values_list("count", flat=True).first() or 0

    def give_back(self, *who):
        """That try was a good one and does not count."""
        self._row(*who).filter(count__gt=0).update(count=F("count") - 1)

    def forget(self, *who):
        self._row(*who).delete()

    def wait_s(self):
        """Seconds until all may try again."""
        return max(1, int(self._until() - time()))

    def _row(self, *who):
        return Visits.objects.filter(visitor=self._hash(*who), until=self._until())

    def _until(self):
        return (int(time()) // self.seconds + 1) * self.seconds

    def _hash(self, *who):
        return salted_hmac(f"jobs.throttle {self.name}", "\x00".join(who), algorithm="sha256").hexdigest()
