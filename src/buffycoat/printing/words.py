"""What printers say in key words, said in plain ones."""

import re
from collections.abc import Iterable

REASONS = {
    "media-empty": "no labels or paper left",
    "media-needed": "it wants other labels or paper",
    "media-jam": "something is stuck in it",
    "media-low": "few labels or little paper left",
    "cover-open": "it is open",
    "door-open": "it is open",
    "interlock-open": "it is open",
    "marker-supply-empty": "ribbon or ink is used up",
    "marker-supply-low": "ribbon or ink is low",
    "toner-empty": "toner is used up",
    "toner-low": "toner is low",
    "paused": "it is paused",
    "shutdown": "it is switched off",
    "offline": "its print server does not reach it",
    "connecting-to-device": "its print server is looking for it",
    "timed-out": "its print server does not reach it",
}


def reasons_words(reasons: Iterable[str]) -> str:
    """
    >>> reasons_words(["media-empty-error", "media-needed", "x-ribbon-odd-warning"])
    'no labels or paper left, it wants other labels or paper, x ribbon odd'
    >>> reasons_words(["none"])
    ''
    """
    plain = [re.sub(r"-(error|warning|report)$", "", each) for each in reasons if each != "none"]
    return ", ".join(dict.fromkeys(REASONS.get(each, each.replace("-", " ")[:60]) for each in plain))


def media_words(media: Iterable[str]) -> str:
    """
    >>> media_words(["om_label_100x100mm", "iso_a4_210x297mm", "na_letter_8.5x11in", "odd"])
    '100 × 100 mm, 210 × 297 mm, 8.5 × 11 in, odd'
    """
    sizes = (re.sub(r"^.*_([\d.]+)x([\d.]+)(mm|in)$", r"\1 × \2 \3", each)[:40] for each in media)
    return ", ".join(dict.fromkeys(sizes))
