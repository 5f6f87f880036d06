"""Studios, the people in them and how they came in."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.utils import timezone

from .base import Owned

#: How long a key for programs works, unless its maker chooses otherwise.
KEY_LASTS = timedelta(days=90)


class UnitStyle(models.TextChoices):
    FEET_INCHES = "ft_in", "feet and inches (5′ 3½″)"
    INCHES = "in", "inches (63½″)"
    CENTIMETRES = "cm", "centimetres"
    MILLIMETRES = "mm", "millimetres"


class Paper(models.TextChoices):
    LETTER = "letter", "US Letter"
    A4 = "a4", "A4"


class UserManager(BaseUserManager["User"]):
    use_in_migrations = True

    def create_user(self, email: str, password: str | None = None, **fields: Any) -> User:
        if not email:
            raise ValueError("A user needs an e-mail address.")
        user = self.model(email=self.normalize_email(email).lower(), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> User:
        return self.create_user(email, password, is_staff=True, is_superuser=True, **fields)


class User(AbstractBaseUser, PermissionsMixin):
    """A person who signs in by e-mail address."""

    email = models.EmailField(unique=True)
    name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)
    date_joined = models.DateTimeField(default=timezone.now)
    unit_style = models.CharField(
        max_length=8, choices=UnitStyle.choices, blank=True, help_text="Blank: the client's own units."
    )
    time_zone = models.CharField(max_length=64, default="UTC")
    quiet_from = models.TimeField(null=True, blank=True)
    quiet_until = models.TimeField(null=True, blank=True)
    digest = models.BooleanField(default=False, help_text="One e-mail a day instead of one for each notice.")

    #: The one studio that the key reaches by which this person came; None on pages, and for a key of all of theirs.
    key_studio_id: int | None = None
    #: How many keys ended as this password was set.
    keys_ended: int = 0

    objects = UserManager()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name or self.email

    def get_full_name(self) -> str:
        return self.name

    def get_short_name(self) -> str:
        return self.name.split(" ")[0] if self.name else self.email


class Studio(models.Model):
    """An interior-design studio: the owner of everything else, and the wall between customers."""

    studio_path: ClassVar[str] = "pk"

    name = models.CharField(max_length=120)
    slug = models.SlugField(unique=True)
    unit_style = models.CharField(max_length=8, choices=UnitStyle.choices, default=UnitStyle.FEET_INCHES)
    paper = models.CharField(max_length=8, choices=Paper.choices, default=Paper.LETTER)
    logo = models.ImageField(upload_to="logos/", blank=True)
    require_second_factor = models.BooleanField(default=False)
    time_zone = models.CharField(max_length=64, default="UTC")
    moved_piece_price = models.FloatField(
        default=4.0, help_text="Score points that a new plan must gain for each piece it moves."
    )
    created_at = models.DateTimeField(auto_now_add=True)
    members = models.ManyToManyField(User, through="Membership", related_name="studios")

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    PRINCIPAL = "principal", "Principal"
    DESIGNER = "designer", "Designer"
    COORDINATOR = "coordinator", "Coordinator"


class Membership(Owned):
    """A person's role in a studio."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="memberships")
    user = models.ForeignKey(User, models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=16, choices=Role.choices)

    class Meta:
        ordering = ["studio", "user"]
        constraints = [models.UniqueConstraint(fields=["studio", "user"], name="one_membership_a_studio")]

    def __str__(self) -> str:
        return f"{self.user} ({self.get_role_display()})"


class Invitation(Owned):
    """An invitation by e-mail; only the SHA-256 of its token is kept."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="invitations")
    email = models.EmailField()
    role = models.CharField(max_length=16, choices=Role.choices)
    token_sha256 = models.CharField(max_length=64, unique=True)
    invited_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    refused_at = models.DateTimeField(null=True, blank=True, help_text="When its letter could not be sent.")

    class Meta:
        ordering = ["-created_at", "pk"]

    def __str__(self) -> str:
        return self.email


class KeyScope(models.TextChoices):
    READ = "read", "Read only"
    WRITE = "write", "Read and change"


def key_ends_at() -> datetime:
    return timezone.now() + KEY_LASTS


class ApiToken(models.Model):
    """A person's key for programs; only its SHA-256 is kept.

    A program may do what the person may, as far as the key goes: perhaps only read, perhaps in one studio only.
    """

    user = models.ForeignKey(User, models.CASCADE, related_name="api_tokens")
    label = models.CharField(max_length=80, help_text="What uses it.")
    token_sha256 = models.CharField(max_length=64, unique=True)
    scope = models.CharField(max_length=8, choices=KeyScope.choices, default=KeyScope.WRITE)
    studio = models.ForeignKey(
        Studio, models.CASCADE, null=True, blank=True, related_name="+", help_text="Blank: all of the person's."
    )
    kept = models.BooleanField(default=False, help_text="Outlives a new password and a new second factor.")
    expires_at = models.DateTimeField(default=key_ends_at)
    created_at = models.DateTimeField(auto_now_add=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    last_used_from = models.GenericIPAddressField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return self.label
