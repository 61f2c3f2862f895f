"""Time cut into slots, and what a booking takes of it. The database refuses the same slot twice."""

from datetime import UTC, timedelta

from testing.models import BookedSlot

# Half hours in one zone are quarter hours in another (Eucla is 8:45 ahead of UTC): quarters suit all.
GRID_MINUTES = 15
SLOT = timedelta(minutes=GRID_MINUTES)


def on_grid(local):
    return local.minute % GRID_MINUTES == 0 and not (local.second or local.microsecond)


def vehicle_keys(vehicle):
    """A vehicle is known by VIN and by plate: the same car can be presented for two jobs."""
    keys = [
        vehicle.vin and f"vehicle:{vehicle.vin}",
        vehicle.plate and f"vehicle:{vehicle.plate_state}-{vehicle.plate}",
    ]
    return [key for key in keys if key] or [f"vehicle:{vehicle.pk}"]


def resources(*, job, site, driver, observers=(), instruments=()):
    """What is taken, by key, and how a message calls it. Driver and observers are people: one key for both."""
    return {
        f"site:{site.pk}": f"{site}",
        **{f"driver:{person.pk}": f"{person}" for person in (driver, *observers)},
        **{f"instrument:{instrument.pk}": f"{instrument}" for instrument in instruments},
        **dict.fromkeys(vehicle_keys(job.vehicle), "The vehicle"),
    }


def take(booking, keys):
    """Take every slot for every resource. Raises IntegrityError when one is taken already.

    Always in the same order: two bookings that want the same slots queue instead of deadlocking.
    """
    BookedSlot.objects.bulk_create(
        BookedSlot(booking=booking, resource=key, slot_at=at) for key in sorted(keys) for at in _starts(booking)
    )


def _starts(booking):
    at = booking.starts_at.astimezone(UTC)
    while at < booking.ends_at:
        yield at
        at += SLOT


def collisions(keys, *, starts_at, ends_at):
    """Slots in that time that somebody else holds, with their bookings."""
    held = BookedSlot.objects.filter(resource__in=keys, slot_at__gte=starts_at, slot_at__lt=ends_at)
    return held.select_related("booking__site", "booking__job").order_by("slot_at")
