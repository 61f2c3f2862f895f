"""Counting wrong addresses, in the memory of each process: no cache server is needed.

Only wrong ones count, so nobody's guessing can lock an owner out of the right one.
"""

import threading
import time

WINDOW_S = 60
FROM_ONE_ADDRESS = 20
FROM_ALL = 200
MOST_ADDRESSES = 5_000


class Throttle:
    """How many wrong guesses came within the window, from one address and from all."""

    def __init__(self, clock=time.monotonic):
        self._clock = clock
        self._lock = threading.Lock()
        self._begin(clock())

    def _begin(self, now):
        self._since, self._all, self._by_address = now, 0, {}

    def wrong(self, address):
        """Count a wrong guess. True when there were too many."""
        with self._lock:
            now = self._clock()
            if now - self._since > WINDOW_S:
                self._begin(now)
            self._all += 1
            if address in self._by_address or len(self._by_address) < MOST_ADDRESSES:
                self._by_address[address] = self._by_address.get(address, 0) + 1
            return self._all > FROM_ALL or self._by_address.get(address, 0) > FROM_ONE_ADDRESS

    def forget(self):
        with self._lock:
            self._begin(self._clock())


guesses = Throttle()
