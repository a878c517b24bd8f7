"""A donor's photo on a page, where there is one."""

from typing import Any

from django import template

from buffycoat.photos.models import DonorPhoto

register = template.Library()


@register.inclusion_tag("photos/_photo.html")
def photo_of(donor: str, name: str) -> dict[str, Any]:
    """Nothing where no photo is kept."""
    kept = DonorPhoto.objects.filter(donor=donor).values_list("digest", flat=True).first()
    return {"donor": donor, "name": name, "kept": kept}
