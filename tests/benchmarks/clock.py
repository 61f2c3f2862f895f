"""Times that stand up to a busy machine: the best of several, both sides measured in turn."""

from collections.abc import Callable
from time import perf_counter


def best_of(work: Callable[[], object], *, rounds: int = 7) -> float:
    """Shortest time of one call in seconds, after one call to warm up."""
    work()
    return min(once(work) for _ in range(rounds))


def side_by_side(first: Callable[[], object], second: Callable[[], object], *, rounds: int = 7) -> tuple[float, float]:
    """Shortest times of two pieces of work, taken alternately so that a busy spell meets both."""
    first(), second()
    pairs = [(once(first), once(second)) for _ in range(rounds)]
    return min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)


def once(work: Callable[[], object]) -> float:
    """Seconds of one call."""
    start = perf_counter()
    work()
    return perf_counter() - start
