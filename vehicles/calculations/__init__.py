"""The shared calculation module: pure Python, no Django, no database, no clock, no network.

One file per subject. Frozen dataclasses go in, frozen dataclasses come out. A unit stands at the
end of every name (``gvm_kg``, ``width_mm``); arguments are keyword-only, so that two numbers
cannot be swapped unseen. A value that is not known is ``None`` and is named in ``undecided``.
"""
