"""A donor's photo: kept beside the journal, so that it can be replaced and erased."""

from hashlib import sha256

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import condition, require_safe

from buffycoat.donors.forms import PhotoForm
from buffycoat.donors.views import known
from buffycoat.photos.models import DonorPhoto


def photo(request: HttpRequest, donor: str) -> HttpResponse:
    _, registered = known(donor)
    kept = DonorPhoto.objects.filter(donor=donor)
    if request.method == "POST" and "erase" in request.POST:
        kept.delete()
        messages.success(request, f"The photo of {registered.name} is erased.")
        return redirect("donor", donor)
    sent = request.method == "POST"
    form = PhotoForm(request.POST, request.FILES) if sent else PhotoForm()
    if sent and form.is_valid():
        jpeg = form.cleaned_data["jpeg"]
        DonorPhoto(donor=donor, jpeg=jpeg, digest=sha256(jpeg).hexdigest()).save()
        messages.success(request, f"The photo of {registered.name} is kept.")
        return redirect("donor", donor)
    shown = {"form": form, "donor": donor, "registered": registered, "kept": kept.exists()}
    return render(request, "donors/photo.html", shown | {"problems_title": "Not kept"})


def _digest(request: HttpRequest, donor: str) -> str | None:
    kept = DonorPhoto.objects.filter(donor=donor).values_list("digest", flat=True).first()
    return f'"{kept}"' if kept else None


@require_safe
@condition(etag_func=_digest)
def photo_file(request: HttpRequest, donor: str) -> HttpResponse:
    """Always asked for anew, so that an erased photo is gone from the pages at once."""
    kept = DonorPhoto.objects.filter(donor=donor).first()
    if kept is None:
        raise Http404("No photo is kept of this donor.")
    said = {
        "Cache-Control": "private, no-cache",
        "Content-Disposition": f'inline; filename="photo-{donor}.jpg"',
    }
    return HttpResponse(bytes(kept.jpeg), content_type="image/jpeg", headers=said)
