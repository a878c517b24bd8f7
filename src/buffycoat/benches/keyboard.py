"""The test card of the scanner: what it carries, and what is wrong when something else arrives."""

# Every character of our codes, then those that move when a keyboard's layout is another one.
CARD = "0123456789-ACDEFGHJKLMNPQRTUVWX:]YZ"
IDENTIFIERS = ("]C0", "]d1")  # of Code 128 and Data Matrix, by ISO/IEC 15424


def what_is_wrong(heard: str, *, alt: bool) -> list[str]:
    """Every fault in what a scan of the card brought, in words with what to do; nothing when all is well."""
    if alt:
        return ["The scanner sends characters as ALT and figures. Set it to type like a keyboard."]
    named = heard[:3] in IDENTIFIERS
    text = heard[3:] if named else heard
    if text == CARD:
        return []
    if text.swapcase() == CARD:
        return [
            "Capitals and small letters are exchanged: Caps Lock is on, or the scanner is set to change them."
        ]
    if len(text) != len(CARD):
        return [
            f"{len(text)} of {len(CARD)} characters came. Scan again; if it stays so, set the scanner to wait a "
            "little between characters."
        ]
    return list(_of_layout(text))


def _of_layout(text: str) -> list[str]:
    pairs = [(wanted, came) for wanted, came in zip(CARD, text, strict=True) if wanted != came]
    other = "the scanner is set to another keyboard layout than this device. Set both to the same country."
    found = []
    if {("Y", "Z"), ("Z", "Y")} <= set(pairs):
        found.append(f"Y and Z are exchanged: {other}")
        pairs = [pair for pair in pairs if pair[0] not in "YZ"]
    if any(wanted.isdigit() for wanted, _ in pairs):
        found.append(f"Figures arrive as other signs: {other}")
        pairs = [pair for pair in pairs if not pair[0].isdigit()]
    if pairs:
        told = ", ".join(f"{came} instead of {wanted}" for wanted, came in pairs[:6])
        found.append(f"Other signs arrive ({told}): {other}")
    return found


def how_it_is_known(heard: str, *, prefix: bool) -> str:
    """What marks a scan at this bench, as it is kept with the bench."""
    first = "prefix found" if prefix else "no prefix: scans are known by their speed"
    named = f"identifier found ({heard[:3]})" if heard[:3] in IDENTIFIERS else "no identifier"
    return f"{first}; {named}"


def advice(heard: str, *, prefix: bool) -> list[str]:
    """What would make a scanner that works surer still."""
    found = []
    if not prefix:
        found.append("Better: set it to send F9 or STX first. Then a scan is never taken for typing.")
    if heard[:3] not in IDENTIFIERS:
        found.append(
            "Better: let it send the symbology identifier. Then a maker's code is never taken for ours."
        )
    return found
