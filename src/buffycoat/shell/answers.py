"""Answers that are not pages."""

from django.http import HttpResponse
from django.utils.http import content_disposition_header


def pdf_answer(pdf: bytes, name: str) -> HttpResponse:
    """A printed sheet, opened in the browser; `name` is offered when it is saved."""
    shown = content_disposition_header(as_attachment=False, filename=f"{name}.pdf")
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": shown or "inline"}
    )
