"""Counting wrong addresses of owner's pages.

Only wrong ones count, so nobody's guessing can lock an owner out of the right one.
"""

from jobs.throttle import Limit, place_of

FROM_ONE_ADDRESS = 20
FROM_ALL = 200


class Guesses:
    """How many wrong ones came within a minute, from one place and from all."""

    from_one = Limit("owner's links, one place", most=FROM_ONE_ADDRESS, seconds=60)
    from_all = Limit("owner's links", most=FROM_ALL, seconds=60)

    def wrong(self, request):
        """Count a wrong guess. True when there were too many."""
        # Both are counted, also when the first says no.
        return any([self.from_one.over(place_of(request)), self.from_all.over()])


guesses = Guesses()
