"""People outside the book: how they prove who they are, and owners' contacts, which can be erased."""

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import User
from django.db import models


class OwnerContact(models.Model):
    donor = models.CharField(max_length=14, primary_key=True)
    name = models.CharField(max_length=100, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)

    def __str__(self) -> str:
        return self.name


class Access(models.Model):
    """What a person signs in with beside the password. Only hashes are kept, and the salt of the second factor."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, primary_key=True)
    pin_hash = models.CharField(max_length=128, blank=True)
    factor_salt = models.CharField(max_length=40, blank=True)
    factor_on = models.BooleanField(default=False)
    factor_last_step = models.BigIntegerField(default=0)  # a code is taken once
    password_to_change = models.BooleanField(default=False)  # somebody else made it, and so knows it

    def __str__(self) -> str:
        return str(self.user)

    def set_pin(self, pin: str) -> None:
        self.pin_hash = make_password(pin)
        self.save(update_fields=["pin_hash"])

    def pin_is(self, pin: str) -> bool:
        return bool(self.pin_hash) and check_password(pin, self.pin_hash)


class RecoveryCode(models.Model):
    """Opens once where the second factor was lost."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE)
    code_hash = models.CharField(max_length=128)

    def __str__(self) -> str:
        return str(self.user)


class SignIn(models.Model):
    """One sign-in that holds: it can be seen, and ended from elsewhere. When it ends its row goes."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE)
    device = models.CharField(max_length=80)
    place = models.CharField(max_length=45, blank=True)  # the device's address
    with_pin = models.BooleanField(default=False)
    began_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-began_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.user} at {self.device}"


def access_of(user: User) -> Access:
    return Access.objects.get_or_create(user=user)[0]


def password_is_to_change(user: User) -> None:
    """Somebody else knows it: nothing opens with it before its person chose another."""
    Access.objects.update_or_create(user=user, defaults={"password_to_change": True})
