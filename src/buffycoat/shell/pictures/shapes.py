"""The shapes of status (in a box of 20 by 20) and species (64 by 64), read with their word, never alone."""

from types import MappingProxyType

WORDS = MappingProxyType(
    {
        "being-made": "Being made",
        "waiting": "Waiting",
        "ready": "Ready",
        "promised": "Promised",
        "use-first": "Use first",
        "stop": "Stop",
        "gone": "Gone",
    }
)

_SHAPES = {
    "being-made": '<circle class="line" cx="10" cy="10" r="7" stroke-dasharray="3.4 2.1"/>',
    "waiting": '<path class="line" d="M10 3 18 17H2Z"/>',
    "ready": '<circle class="line" cx="10" cy="10" r="8"/><path class="line" d="m6 10.4 2.8 2.8 5.2-6"/>',
    "promised": '<path class="line" d="M2.5 4H13l5 6-5 6H2.5l3-6Z"/><circle class="solid" cx="12" cy="10" r="1.6"/>',
    "use-first": '<circle class="line" cx="10" cy="10" r="7.5"/><path class="solid" d="M10 2.5a7.5 7.5 0 0 1 0 15Z"/>',
    "stop": '<path class="line" d="M6.7 2h6.6L18 6.7v6.6L13.3 18H6.7L2 13.3V6.7Z"/>'
    '<path class="line" d="m7 7 6 6m0-6-6 6"/>',
    "gone": '<path class="solid" d="M2 8h16v4H2Z"/>',
}


def status_of(word: str) -> str:
    """The key of a status, whether given as its key or as its word."""
    key = word.strip().lower().replace(" ", "-")
    if key not in WORDS:
        raise ValueError(f"{word!r} is no status; the words are {', '.join(WORDS.values())}")
    return key


def shape(status: str) -> str:
    return _SHAPES[status_of(status)]


SPECIES = MappingProxyType(
    {
        "dog": '<path class="fur" d="M18 22C10 20 6 30 8 42c1 6 6 8 10 4l2-6c1 12 8 18 12 18s11-6 12-18l2 6c4 4'
        ' 9 2 10-4 2-12-2-22-10-20-4-4-8-5-14-5s-10 1-14 5Z"/>'
        '<path class="line" d="M25 34v3M39 34v3M32 50v-4M26 50c3 3 9 3 12 0"/>'
        '<path class="solid" d="M27 42h10c0 3-3 5-5 5s-5-2-5-5Z"/>',
        "cat": '<path class="fur" d="M12 8 22 18c6-2 14-2 20 0L52 8c2 10 2 18 1 24 1 14-9 24-21 24S10 46 11 32'
        'c-1-6-1-14 1-24Z"/><path class="line" d="M22 32v4M42 32v4M32 45v3M27 50c2 1 4 0 5-2 1 2 3 3 5 2"/>'
        '<path class="line" d="M4 40l10 1M4 48l10-2M60 40l-10 1M60 48l-10-2"/><path class="solid" d="M29 42h6l-3 4Z"/>',
    }
)
