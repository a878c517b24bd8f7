"""What only the pages of this folder write."""

from datetime import UTC, datetime

from django import template

from buffycoat.shell.words import duration

register = template.Library()


@register.filter
def ago(at: datetime) -> str:
    """`3 h 05 min ago`."""
    return f"{duration(max(0, round((datetime.now(UTC) - at).total_seconds())))} ago"
