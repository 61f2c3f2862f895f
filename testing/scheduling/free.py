"""What is free when, from one look at all slots that are taken."""

from collections import defaultdict
from datetime import UTC

from django.utils import timezone

from testing.models import BookedSlot
from testing.scheduling.slots import SLOT, vehicle_keys


class Free:
    """Who and what is taken between two moments, but for the bookings of some jobs."""

    def __init__(self, *, start, end, but_for=()):
        slots = BookedSlot.objects.filter(slot_at__gte=start, slot_at__lt=end).exclude(booking__job__in=but_for)
        slots = slots.exclude(booking__held_until__lte=timezone.now())
        self.taken = defaultdict(set)
        for resource, at in slots.values_list("resource", "slot_at"):
            self.taken[resource].add(at)

    def _is_free(self, key, start, end):
        held = self.taken.get(key)
        if not held:
            return True
        at, end = start.astimezone(UTC), end.astimezone(UTC)
        while at < end:
            if at in held:
                return False
            at += SLOT
        return True

    def site(self, site, start, end):
        return self._is_free(f"site:{site.pk}", start, end)

    def person(self, person, start, end):
        return self._is_free(f"driver:{person.pk}", start, end)

    def instrument(self, instrument, start, end):
        return self._is_free(f"instrument:{instrument.pk}", start, end)

    def vehicle(self, vehicle, start, end):
        return all(self._is_free(key, start, end) for key in vehicle_keys(vehicle))
