"""Bars as a line drawing: our own, sized in the plain units of its view box."""

from dataclasses import dataclass

WIDTH, ROW, LABEL, BAR_HEIGHT = 640, 30, 230, 14
_ROOM = WIDTH - LABEL - 90


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """One bar with its places."""

    label: str
    text: str
    y: float
    middle: float
    width: float
    end: float


@dataclass(frozen=True, kw_only=True)
class Plot:
    height: int
    bars: tuple[Drawn, ...]
    width: int = WIDTH
    left: int = LABEL
    bar_height: int = BAR_HEIGHT


def plot(figure):
    """Places for every bar; the longest fills the room there is. Shares are drawn against 100 %."""
    known = [bar.value for bar in figure.bars if bar.value is not None]
    full = 100 if figure.unit.startswith("%") else max(known, default=0)
    return Plot(
        height=ROW * len(figure.bars) + 8,
        bars=tuple(_drawn(bar, number, full, figure.unit) for number, bar in enumerate(figure.bars)),
    )


def _drawn(bar, number, full, unit):
    width = round(_ROOM * bar.value / full, 1) if bar.value and full else 0
    text = "nothing yet" if bar.value is None else f"{bar.value:g} {unit.split()[0]} ({bar.count})"
    y = ROW * number + 8
    return Drawn(label=_short(bar.label), text=text, y=y, middle=y + BAR_HEIGHT - 3, width=width, end=LABEL + width + 8)


def _short(label):
    return label if len(label) <= 32 else label[:31] + "…"
