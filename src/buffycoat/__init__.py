"""Buffycoat: from the drawn bag to labelled blood in the fridge, every step in a book that cannot be edited."""

__version__ = "0.1.0"
