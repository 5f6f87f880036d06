"""Clients and their projects."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from simple_history.models import HistoricalRecords

from .base import Owned
from .people import Studio, UnitStyle, User


class Client(Owned):
    studio = models.ForeignKey(Studio, models.CASCADE, related_name="clients")
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    unit_style = models.CharField(
        max_length=8, choices=UnitStyle.choices, blank=True, help_text="Blank: the studio's units."
    )
    notes = models.TextField(blank=True)
    sample = models.BooleanField(default=False, help_text="Invented, to try things with; removed in one step.")

    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [models.UniqueConstraint(fields=["studio", "name"], name="client_name_once_a_studio")]

    def __str__(self) -> str:
        return self.name


class Project(Owned):
    """One job for a client: a house, a floor, an office."""

    studio_path: ClassVar[str] = "client__studio"

    client = models.ForeignKey(Client, models.CASCADE, related_name="projects")
    name = models.CharField(max_length=120)
    address_note = models.CharField(max_length=250, blank=True, help_text="For the hanger: how to find the place.")
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    time_zone = models.CharField(max_length=64, blank=True)
    designer = models.ForeignKey(User, models.SET_NULL, null=True, blank=True, related_name="+")
    survey_units = models.CharField(max_length=2, default="in", help_text="Units that its survey file is written in.")

    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["client", "name"], name="project_name_once_a_client"),
            models.CheckConstraint(
                condition=models.Q(latitude__isnull=True) | models.Q(latitude__range=(-90, 90)),
                name="project_latitude_on_earth",
            ),
            models.CheckConstraint(
                condition=models.Q(longitude__isnull=True) | models.Q(longitude__range=(-180, 180)),
                name="project_longitude_on_earth",
            ),
        ]

    def __str__(self) -> str:
        return self.name
