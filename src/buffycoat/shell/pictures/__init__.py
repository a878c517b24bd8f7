"""Pictures drawn on the server: an SVG, the sentence that says what it shows, and the same as a table."""

from buffycoat.shell.pictures.picture import Picture

__all__ = ["Picture"]
