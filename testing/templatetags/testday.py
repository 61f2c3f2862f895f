"""Small drawings of the day sheet."""

from django import template
from django.utils.html import format_html

register = template.Library()


@register.filter
def signature(signed):
    """A drawn signature as inline SVG. The strokes are numbers: the form lets nothing else through."""
    path = " ".join(
        "M" + " L".join(f"{float(x):g} {float(y):g}" for x, y in stroke) for stroke in signed.strokes if stroke
    )
    return format_html(
        '<svg class="drawing signature" viewBox="0 0 600 200" role="img" aria-label="Signature of {}">'
        '<path class="line" d="{}" stroke="#15233f" fill="none"/></svg>',
        signed.signed_name,
        path,
    )
