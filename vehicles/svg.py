"""Lines and words of a drawing, in the one way that all drawings of the house share."""

from xml.sax.saxutils import escape, quoteattr

INK, PALE = "#15233f", "#4d5870"


def line(x1: float, y1: float, x2: float, y2: float, *, thin: bool = False, dashed: bool = False) -> str:
    look = f'class="thin" stroke="{PALE}" stroke-width="0.5"' if thin else f'class="line" stroke="{INK}"'
    dashes = ' stroke-dasharray="6 4"' if dashed else ""
    return f'<line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}" {look}{dashes}/>'


def text(x: float, y: float, words: str, size: float, *, anchor: str = "middle") -> str:
    place = f'x="{x:g}" y="{y:g}" font-size="{size:g}" text-anchor="{anchor}" fill="{INK}"'
    return f"<text {place}>{escape(words)}</text>"


def box(x: float, y: float, width: float, height: float, *, round_by: float = 0, thin: bool = False) -> str:
    look = f'class="thin" stroke="{PALE}" stroke-width="0.5"' if thin else f'class="line" stroke="{INK}"'
    place = f'x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" rx="{round_by:g}"'
    return f'<rect {place} fill="none" {look}/>'


def drawing(name: str, width: float, height: float, label: str, parts: list[str]) -> str:
    """The whole drawing: an ``svg`` element that says in words what it shows."""
    head = f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing {name}" role="img"'
    return "\n".join([f'{head} viewBox="0 0 {width:g} {height:g}" aria-label={quoteattr(label)}>', *parts, "</svg>"])
