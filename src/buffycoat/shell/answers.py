"""Answers that are not pages."""

from django.http import HttpResponse


def pdf_answer(pdf: bytes, name: str) -> HttpResponse:
    """A printed sheet, opened in the browser; `name` is offered when it is saved."""
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}.pdf"'}
    )
