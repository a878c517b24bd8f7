"""Codes in addresses: only what has the shape of one reaches a page."""

from django.urls.converters import StringConverter


class CodeInAddress(StringConverter):
    regex = "[A-Z]{5}[0-9]{9}"
