"""Calculators: every formula of the science on a page, in a terminal and in the manual. Nothing is recorded."""
