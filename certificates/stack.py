"""Room on the interpreter's stack for work that calls deeply.

CPython (3.11 on) keeps frames in chunks of 16 kB and hands an empty chunk back to the system at
once. Where a recursion happens to swing across the end of a chunk, each swing asks the system for
fresh memory; how many calls stand above decides whether it happens. Rendering a report met 20,000
page faults that way and took a fifth longer. A frame that asks for much gets one large chunk, and
what it calls lives in the rest of it.
"""

# Words of eight bytes: the frame takes 320 kB of a chunk of 512 kB, untouched and so never paid for.
_WORDS = 40_000


def with_room(work):
    """What the work returns, done with room on the stack."""
    return work()


with_room.__code__ = with_room.__code__.replace(co_stacksize=_WORDS)
