"""Who may sign in."""

from django.contrib.auth import get_user_model
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buffycoat.people.forms import SignInForm

sign_in = LoginView.as_view(
    template_name="people/sign_in.html", authentication_form=SignInForm, redirect_authenticated_user=True
)
sign_out = login_not_required(LogoutView.as_view())


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    found = get_user_model().objects.order_by("-is_active", "username")
    return render(request, "people/people.html", {"people": found})
