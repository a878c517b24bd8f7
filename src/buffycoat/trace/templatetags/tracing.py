"""What only the pages of this chapter write."""

from django import template

register = template.Library()


@register.filter
def code_of_stream(stream: str) -> str:
    """The code behind the stroke, if the stream is of something that has one."""
    code = stream.partition("/")[2]
    return code if len(code) == 14 else ""
