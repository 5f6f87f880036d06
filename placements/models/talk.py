"""Comments, notices, and the client's link."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.models.base import Owned


class Comment(Owned):
    """A remark on a project, a wall or a piece; by a person, or by the client through a link."""

    studio_path: ClassVar[str] = "project__client__studio"

    project = models.ForeignKey("studio.Project", models.CASCADE, related_name="comments")
    wall = models.ForeignKey("studio.Wall", models.CASCADE, null=True, blank=True, related_name="comments")
    artwork = models.ForeignKey("studio.Artwork", models.CASCADE, null=True, blank=True, related_name="comments")
    author = models.ForeignKey("studio.User", models.SET_NULL, null=True, blank=True, related_name="+")
    author_name = models.CharField(max_length=120, help_text="The name when it was written.")
    text = models.TextField(max_length=4000)
    mentions = models.ManyToManyField("studio.User", blank=True, related_name="+")

    class Meta:
        ordering = ["created_at", "pk"]

    def __str__(self) -> str:
        return f"{self.author_name}: {self.text[:40]}"


class Notice(Owned):
    """One line in a person's inbox."""

    studio_path: ClassVar[str] = "studio"

    studio = models.ForeignKey("studio.Studio", models.CASCADE, related_name="notices")
    user = models.ForeignKey("studio.User", models.CASCADE, related_name="notices")
    text = models.CharField(max_length=300)
    url = models.CharField(max_length=300, blank=True)
    read_at = models.DateTimeField(null=True, blank=True)
    emailed_at = models.DateTimeField(null=True, blank=True)
    mail_tries = models.PositiveSmallIntegerField(default=0, help_text="Letters with this line that were refused.")
    mail_after = models.DateTimeField(null=True, blank=True, help_text="Not mailed again before this.")

    class Meta:
        ordering = ["-created_at", "-pk"]
        indexes = [models.Index(fields=["user", "read_at"])]

    def __str__(self) -> str:
        return self.text


class ClientLink(Owned):
    """A client's way in without an account; only the SHA-256 of its token is kept."""

    studio_path: ClassVar[str] = "project__client__studio"

    project = models.ForeignKey("studio.Project", models.CASCADE, related_name="client_links")
    rooms = models.ManyToManyField("studio.Room", related_name="+", help_text="The rooms that it shows.")
    label = models.CharField(max_length=120)
    token_sha256 = models.CharField(max_length=64, unique=True)
    created_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return self.label


class ClientAnswer(Owned):
    """What the client said to one wall: the newest counts."""

    studio_path: ClassVar[str] = "link__project__client__studio"

    link = models.ForeignKey(ClientLink, models.CASCADE, related_name="answers")
    wall = models.ForeignKey("studio.Wall", models.CASCADE, related_name="+")
    approved = models.BooleanField(null=True)
    text = models.TextField(max_length=4000, blank=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.link} on {self.wall}"
