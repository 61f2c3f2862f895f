"""Bars as a line drawing: our own. Each label stands over its bar, so that a phone can show it."""

from dataclasses import dataclass

WIDTH, ROW, BAR_HEIGHT, TOP = 380, 42, 14, 6
_ROOM = WIDTH - 130


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """One bar with its places."""

    label: str
    text: str
    label_y: float
    y: float
    middle: float
    width: float
    end: float


@dataclass(frozen=True, kw_only=True)
class Plot:
    height: int
    bars: tuple[Drawn, ...]
    width: int = WIDTH
    bar_height: int = BAR_HEIGHT


def plot(figure):
    """Places for every bar; the longest fills the room there is. Shares are drawn against 100 %."""
    known = [bar.value for bar in figure.bars if bar.value is not None]
    full = 100 if figure.unit.startswith("%") else max(known, default=0)
    return Plot(
        height=ROW * len(figure.bars) + TOP,
        bars=tuple(_drawn(bar, number, full, figure.unit) for number, bar in enumerate(figure.bars)),
    )


def _drawn(bar, number, full, unit):
    width = round(_ROOM * bar.value / full, 1) if bar.value and full else 0
    top = ROW * number + TOP
    return Drawn(
        label=bar.label,
        text="nothing yet" if bar.value is None else f"{bar.value:g} {unit.split()[0]} ({bar.count})",
        label_y=top + 12,
        y=top + 18,
        middle=top + 18 + BAR_HEIGHT - 3,
        width=width,
        end=width + 12,
    )
