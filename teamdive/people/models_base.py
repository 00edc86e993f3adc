"""What the records of every room are made of: a row with an id, the units people type, and who signs in."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models.functions import Lower


class DepthUnit(models.TextChoices):
    METRES = "m", "m"
    FEET = "ft", "ft"


class PressureUnit(models.TextChoices):
    BAR = "bar", "bar"
    PSI = "psi", "psi"


class VolumeUnit(models.TextChoices):
    LITRES = "l", "l (water capacity)"
    CUBIC_FEET = "cuft", "cuft (free gas at the working pressure)"


class Evidence(models.TextChoices):
    """How the club knows: the diver said so, showed a paper, or someone of the club saw it done."""

    SAID = "said", "said"
    SHOWN = "shown", "shown"
    SEEN = "seen", "seen"


class Row(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)

    class Meta:
        abstract = True


class UserManager(BaseUserManager["User"]):
    def create_user(self, email: str, password: str | None = None, **extra: Any) -> User:
        if not email:
            raise ValueError("a user needs an e-mail address")
        user = self.model(email=email.strip().lower(), **extra)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, password: str | None = None, **extra: Any) -> User:
        return self.create_user(email, password, is_staff=True, is_superuser=True, **extra)

    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(email__iexact=username)


class User(AbstractBaseUser, PermissionsMixin, Row):
    """Someone who signs in, by e-mail address."""

    email = models.EmailField("e-mail address", unique=True)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)
    date_joined = models.DateTimeField(null=True, blank=True)

    objects = UserManager()

    EMAIL_FIELD = "email"
    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: list[str] = []

    class Meta:
        constraints = [models.UniqueConstraint(Lower("email"), name="user_email_any_case")]

    def __str__(self) -> str:
        return self.email
