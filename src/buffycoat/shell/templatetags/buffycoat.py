"""How the pages write codes, numbers and times. Thin: the words are made in `shell.words`."""

from datetime import date, datetime
from typing import Any
from urllib.parse import urlencode

from django import template
from django.forms import BoundField
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from buffycoat.science import numbering
from buffycoat.shell import words
from buffycoat.shell.fields import site_zone
from buffycoat.shell.guidance import GUIDANCE
from buffycoat.shell.pictures import shapes, steps

register = template.Library()

NOT_KNOWN = "not known"


@register.filter
def show_code(code: str | None) -> str:
    """`UKTRA-0004217-17`; what is not one of our codes is shown as it is."""
    try:
        return numbering.show_code(code or "")
    except numbering.BadCode:
        return code or ""


@register.filter
def grouped_code(code: str | None) -> SafeString:
    """The code in its groups, the last four figures of the serial larger."""
    shown = show_code(code)
    if shown.count("-") != 2:
        return format_html("{}", shown)
    site, serial, check = shown.split("-")
    return format_html("{}-{}<strong>{}</strong>-{}", site, serial[:-4], serial[-4:], check)


@register.filter
def grams(value: int | None) -> str:
    return NOT_KNOWN if value is None else words.grams(value)


@register.filter
def millilitres(value: int | None) -> str:
    return NOT_KNOWN if value is None else words.millilitres(value)


@register.filter
def kilograms(value: int | None) -> str:
    return NOT_KNOWN if value is None else words.kilograms(value)


@register.filter
def permille_as_percent(value: int | None) -> str:
    return NOT_KNOWN if value is None else words.permille_as_percent(value)


@register.filter
def density(value: int | None) -> str:
    return NOT_KNOWN if value is None else words.density(value)


@register.filter
def celsius(value: int | None) -> str:
    return NOT_KNOWN if value is None else words.celsius(value)


@register.filter
def duration(seconds: int | None) -> str:
    return NOT_KNOWN if seconds is None else words.duration(seconds)


@register.filter
def grouped(value: int | None) -> str:
    return NOT_KNOWN if value is None else words.grouped(value)


@register.filter
def number_in_words(value: int) -> str:
    return words.number_in_words(value)


@register.filter
def local_time(value: datetime | None) -> str:
    """`24 Oct 2026, 14:05` on the site's clock."""
    return NOT_KNOWN if value is None else words.moment(value, site_zone())


@register.filter
def local_clock(value: datetime | None) -> str:
    return NOT_KNOWN if value is None else words.clock(value, site_zone())


@register.filter
def ago(value: datetime) -> str:
    return f"{words.duration(max(0, int((timezone.now() - value).total_seconds())))} ago"


@register.filter
def local_day(value: datetime | date | None) -> str:
    if value is None:
        return NOT_KNOWN
    return words.day(value.astimezone(site_zone()) if isinstance(value, datetime) else value)


@register.filter
def age(born_on: date | None) -> str:
    today = timezone.now().astimezone(site_zone()).date()
    return NOT_KNOWN if born_on is None else words.age(born_on, today)


@register.filter
def machine_time(value: datetime) -> str:
    """For the attribute of a `time` element."""
    return value.isoformat(timespec="seconds")


@register.simple_tag
def time_left(due: datetime) -> dict[str, str]:
    """What the server says of a due time: `state` is running, soon or late; `words` says by how much."""
    left_s = int((due - timezone.now()).total_seconds())
    if left_s < 0:
        return {"state": "late", "words": f"{words.duration(-left_s)} late"}
    return {"state": "soon" if left_s < 600 else "running", "words": f"{words.duration(left_s)} left"}


@register.filter
def status_word(status: str) -> str:
    return shapes.WORDS[shapes.status_of(status)]


@register.filter
def status_key(status: str) -> str:
    return shapes.status_of(status)


@register.simple_tag
def chip(status: str, word: str) -> SafeString:
    """Looks like that status and says another word: not only units have a state."""
    key, drawn = shapes.status_of(status), mark_safe(shapes.shape(status))
    svg = format_html('<svg viewBox="0 0 20 20" aria-hidden="true">{}</svg>', drawn)
    return format_html('<span class="chip chip-{}">{}{}</span>', key, svg, word)


@register.filter
def status_shape(status: str) -> SafeString:
    return mark_safe(shapes.shape(status))


@register.filter
def drawn(svg: str) -> SafeString:
    """A picture's SVG as it is: the drawing functions have escaped every text in it."""
    return mark_safe(svg)


@register.simple_tag(takes_context=True)
def problem_with_it(context: template.Context) -> str:
    """Where a problem with what is in hand is reported; empty on a page that has no such door.

    What is in hand stands in the page's own address.
    """
    request = context.get("request")
    try:
        door = reverse("problem")
    except NoReverseMatch:
        return ""
    match = request.resolver_match if request else None
    if request is None or match is None or match.view_name == "problem":
        return ""
    asked = (request.GET.get(name) for name in ("unit", "bag", "donor"))
    given = (*match.kwargs.values(), *asked)
    about = next((str(each) for each in given if each and _is_code(str(each))), "")
    return f"{door}?{urlencode({'about': about, 'back': request.get_full_path()})}" if about else door


def _is_code(text: str) -> bool:
    try:
        return bool(numbering.read_code(text))
    except numbering.BadCode:
        return False


@register.inclusion_tag("shell/_guidance.html", takes_context=True)
def guide(context: template.Context, step: str) -> dict[str, Any]:
    """How a step is done and why, with its drawing; open or folded, as this person likes it."""
    guidance = GUIDANCE[step]
    drawing = mark_safe(steps.drawing(guidance.drawing, guidance.alt))
    passed_on = {name: context.get(name) for name in ("shell", "request", "csrf_token")}
    return {"guidance": guidance, "drawing": drawing, **passed_on}


@register.filter
def kind_of_field(field: BoundField) -> str:
    """Which part of `_field.html` draws this field."""
    widget = type(field.field.widget).__name__
    return {
        "RadioSelect": "tiles",
        "CheckboxSelectMultiple": "tiles",
        "CheckboxInput": "tick",
        "Select": "list",
        "Textarea": "lines",
    }.get(widget, "line")


@register.filter
def note_for(field: BoundField, value: Any) -> str:
    return getattr(field.field, "notes", {}).get(str(value), "")


@register.simple_tag(takes_context=True)
def problems(context: template.Context) -> list[dict[str, str]]:
    """Every refusal on this page as `sentence` and, where a field is at fault, its `target`."""
    form, reasons = context.get("form"), context.get("reasons") or ()
    found = [{"sentence": str(reason), "target": ""} for reason in reasons]
    if form is None or not form.is_bound:
        return found
    for name, errors in form.errors.items():
        field = form[name] if name in form.fields else None
        target = field.id_for_label or field.auto_id if field is not None and not field.is_hidden else ""
        if field is not None and kind_of_field(field) == "tiles":
            target = f"{field.auto_id}_0"
        found += [{"sentence": str(error), "target": target} for error in errors]
    return found


@register.filter
def species_shape(species: str) -> SafeString:
    return mark_safe(shapes.SPECIES.get(species, ""))
