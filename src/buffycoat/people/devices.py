"""A device in the few words that a person knows it by."""

BROWSERS = {"Edg": "Edge", "OPR": "Opera", "Firefox": "Firefox", "Chrome": "Chrome", "Safari": "Safari"}
SYSTEMS = {
    "iPad": "iPad",
    "iPhone": "iPhone",
    "Android": "Android",
    "Windows": "Windows",
    "Mac OS": "Mac",
    "CrOS": "Chromebook",
    "Linux": "Linux",
}
UNKNOWN = "An unknown browser"


def named(user_agent: str) -> str:
    """
    >>> named("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0")
    'Firefox, Linux'
    >>> named("")
    'An unknown browser'
    """
    known = (
        next((word for sign, word in signs.items() if sign in user_agent), "")
        for signs in (BROWSERS, SYSTEMS)
    )
    return ", ".join(filter(None, known)) or UNKNOWN
