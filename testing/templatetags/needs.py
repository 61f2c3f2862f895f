from django import template

from testing.triage.models import NEEDS

register = template.Library()


@register.filter
def need_words(need):
    """The need of a requirement in words, as people read it."""
    return dict(NEEDS).get(need, need)
