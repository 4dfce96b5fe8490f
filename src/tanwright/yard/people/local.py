"""The keeper of a yard that only this machine reaches."""

from __future__ import annotations

from django.contrib.auth.hashers import make_password

from tanwright.yard.people.models import Person


def keeper_of_this_machine() -> Person:
    """The first active keeper; one called "Keeper" is made when there is none."""
    keeper = (
        Person.objects.filter(role=Person.Role.KEEPER, is_active=True)
        .order_by("created_at")
        .first()
    )
    if keeper is None:
        # Not an empty password: Django would count that as one, and no first link would be shown.
        none = make_password(None)
        keeper, _ = Person.objects.get_or_create(
            name="Keeper", defaults={"role": Person.Role.KEEPER, "password": none}
        )
    return keeper


def keeper_locked_out() -> Person | None:
    """The keeper of this machine, if no keeper could sign in by a password or a paired device."""
    keepers = list(
        Person.objects.filter(role=Person.Role.KEEPER, is_active=True).prefetch_related("devices")
    )
    for keeper in keepers:
        live = any(device.revoked_at is None for device in keeper.devices.all())
        if (keeper.password and keeper.has_usable_password()) or live:
            return None
    return keeper_of_this_machine()
