"""The acts of planning, in one place for whoever calls them."""

from testing.scheduling.bookings import book, cancel, confirm, move
from testing.scheduling.covers import add_cover, remove_cover
from testing.scheduling.locking import standing_booking

__all__ = ["add_cover", "book", "cancel", "confirm", "move", "remove_cover", "standing_booking"]
