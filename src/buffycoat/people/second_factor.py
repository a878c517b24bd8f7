"""A code from the person's own telephone, which changes every 30 s (TOTP, RFC 6238), and recovery codes on paper.

The secret is computed from the server's own secret and a salt, so that no table and no copy of the bank holds it.
"""

import base64
import secrets
import time

import pyotp
from django.contrib.auth.models import User
from django.db import transaction
from django.utils.crypto import salted_hmac

from buffycoat.people.models import Access, RecoveryCode

RECOVERY_CODES = 8
STEPS_AROUND = 1  # a telephone's clock may be 30 s off


def totp(access: Access) -> pyotp.TOTP:
    made = salted_hmac(
        "buffycoat.people.second_factor", f"{access.pk}.{access.factor_salt}", algorithm="sha256"
    )
    return pyotp.TOTP(base64.b32encode(made.digest()[:20]).decode())


def begin(access: Access) -> None:
    """A new secret, which counts only once a code of it was typed."""
    access.factor_salt, access.factor_on, access.factor_last_step = secrets.token_urlsafe(18), False, 0
    access.save()


def address(access: Access, bank: str) -> str:
    """For the telephone, as a matrix on the page."""
    return totp(access).provisioning_uri(name=str(access.user), issuer_name=bank)


def is_right(access: Access, code: str) -> bool:
    """A code of this half minute or the one beside it, once."""
    with transaction.atomic():
        held = Access.objects.select_for_update().get(pk=access.pk)
        now, kept = int(time.time()) // 30, totp(held)
        for step in range(now - STEPS_AROUND, now + STEPS_AROUND + 1):
            if step > held.factor_last_step and pyotp.utils.strings_equal(kept.at(step * 30), code):
                held.factor_last_step = step
                held.save(update_fields=["factor_last_step"])
                return True
    return False


def turn_on(access: Access) -> list[str]:
    """Gives the recovery codes: shown this once, kept as hashes."""
    codes = [f"{secrets.randbelow(10**5):05d}-{secrets.randbelow(10**5):05d}" for _ in range(RECOVERY_CODES)]
    with transaction.atomic():
        RecoveryCode.objects.filter(user=access.user).delete()
        RecoveryCode.objects.bulk_create(
            RecoveryCode(user=access.user, code_hash=_hash(access.user, code)) for code in codes
        )
        Access.objects.filter(pk=access.pk).update(factor_on=True)
    return codes


def turn_off(user: User) -> None:
    Access.objects.filter(user=user).update(factor_on=False, factor_salt="")
    RecoveryCode.objects.filter(user=user).delete()


def use_recovery_code(user: User, code: str) -> bool:
    return RecoveryCode.objects.filter(user=user, code_hash=_hash(user, code)).delete()[0] == 1


def _hash(user: User, code: str) -> str:
    """Keyed with the server's own secret: from a copy of the bank alone no code can be guessed."""
    return salted_hmac("buffycoat.people.recovery", f"{user.pk}.{code}", algorithm="sha256").hexdigest()


def asked_of(user: User) -> bool:
    return Access.objects.filter(user=user, factor_on=True).exists()
