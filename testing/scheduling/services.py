"""The acts of planning, in one place for whoever calls them."""

from testing.scheduling.bookings import book, cancel, confirm, move
from testing.scheduling.covers import add_cover, remove_cover
from testing.scheduling.locking import standing_booking
from testing.scheduling.refused import Refused

__all__ = ["Refused", "add_cover", "book", "cancel", "confirm", "move", "remove_cover", "standing_booking"]
