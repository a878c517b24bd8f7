"""Who has come in with this browser before: a signed cookie of it. It opens nothing; it only spares those people the
wait that others' wrong tries from the same place bring.
"""

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse

COOKIE, LONGEST_S, MOST = "known", 90 * 24 * 3600, 20


def _people(request: HttpRequest) -> list[str]:
    return str(request.get_signed_cookie(COOKIE, default="", salt=COOKIE, max_age=LONGEST_S)).split(".")


def is_known(request: HttpRequest, name: str) -> bool:
    number = get_user_model().objects.filter(username=name).values_list("pk", flat=True).first()
    return str(number) in _people(request)


def remember(request: HttpRequest, answer: HttpResponse, user: User) -> HttpResponse:
    others = [each for each in _people(request) if each and each != str(user.pk)]
    people = ".".join([str(user.pk), *others][:MOST])
    answer.set_signed_cookie(
        COOKIE,
        people,
        salt=COOKIE,
        max_age=LONGEST_S,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )
    return answer
