"""Roles are Django's groups, by their plain words; what each may do stands in `may`."""

from collections.abc import Iterable

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser, AnonymousUser, Group, User

from buffycoat.people.may import ROLES

COORDINATOR = "coordinator"


def roles_of(user: AbstractBaseUser | AnonymousUser) -> set[str]:
    """Looked up once for each request."""
    if not isinstance(user, User):
        return set()
    if "_roles" not in user.__dict__:
        user.__dict__["_roles"] = set(user.groups.values_list("name", flat=True)) & set(ROLES.values())
    known: set[str] = user.__dict__["_roles"]
    return known


def give_roles(user: User, roles: Iterable[str]) -> None:
    """From now on these and no others."""
    user.groups.set([Group.objects.get_or_create(name=role)[0] for role in sorted(roles)])
    user.__dict__.pop("_roles", None)


def add(name: str, password: str | None, roles: Iterable[str]) -> User:
    user = get_user_model().objects.create_user(name, password=password)
    give_roles(user, roles)
    return user


def as_before() -> None:
    """In a bank from before there were roles, everybody could do everything: they keep that."""
    if not Group.objects.exists():
        for user in get_user_model().objects.filter(is_active=True):
            give_roles(user, [COORDINATOR])


def who_has(roles: Iterable[str]) -> list[str]:
    """Names of those who may still sign in and have one of these roles."""
    people = get_user_model().objects.filter(is_active=True, groups__name__in=list(roles))
    return list(people.order_by("username").values_list("username", flat=True).distinct())
