"""A verdict as word and shape, never as a colour alone."""

from django import template
from django.utils.safestring import SafeString

from buffycoat.matching.compatibility import AVOID, FITS, NEVER, SECOND
from buffycoat.shell.templatetags.buffycoat import chip

register = template.Library()
LOOKS_LIKE = {FITS: "ready", SECOND: "use-first", AVOID: "waiting", NEVER: "stop"}


@register.filter
def verdict(word: str) -> SafeString:
    return chip(LOOKS_LIKE[word], word.capitalize())
