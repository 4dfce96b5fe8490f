"""Who works in the yard, and from which phones and laptops."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models
from django.utils import timezone


class PersonManager(BaseUserManager["Person"]):
    def create_user(
        self, name: str, password: str | None = None, role: str = "helper", **fields: object
    ) -> Person:
        """A person who signs in with ``name``; without a password only by a paired device."""
        person = self.model(name=name.strip(), role=role, **fields)
        person.set_password(password)
        person.full_clean(exclude=["password"])
        person.save(using=self._db)
        return person


class Person(AbstractBaseUser):
    """Somebody who keeps the yard (may do all) or helps in it (logs what was done and seen)."""

    class Role(models.TextChoices):
        KEEPER = "keeper", "keeper: may do everything"
        HELPER = "helper", "helper: logs what was done and seen"

    class System(models.TextChoices):
        METRIC = "metric", "kilograms, litres, °C"
        US = "us", "pounds, US gallons, °F"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    name = models.CharField("name", max_length=60, unique=True)
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.HELPER)
    system = models.CharField("units", max_length=10, choices=System.choices, default=System.METRIC)
    is_active = models.BooleanField(default=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    calendar_token = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    """Opens this person's calendar feed; changing it closes the old address."""

    objects: ClassVar[PersonManager] = PersonManager()

    USERNAME_FIELD = "name"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def is_keeper(self) -> bool:
        return self.role == self.Role.KEEPER


class Device(models.Model):
    """A phone or laptop that a person paired; its session ends when it is revoked."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="devices")
    name = models.CharField(max_length=60)
    session_key = models.CharField(max_length=40, blank=True)
    created_at = models.DateTimeField(default=timezone.now)
    seen_at = models.DateTimeField(default=timezone.now)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-seen_at"]

    def __str__(self) -> str:
        return self.name


class PairingCode(models.Model):
    """A code shown once as a QR picture; only its hash is kept."""

    code_hash = models.CharField(max_length=64, unique=True)
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="pairing_codes")
    made_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"pairing of {self.person}"
