"""What ran, and who is there to run it: written by workers, read by the operator's page and the metrics."""

from __future__ import annotations

from django.db import models


class TaskRecord(models.Model):
    """What became of one kind of task, over all workers, since the site was set up."""

    name = models.CharField(max_length=120, unique=True)
    runs = models.PositiveBigIntegerField(default=0)
    failures = models.PositiveBigIntegerField(default=0)
    seconds = models.FloatField(default=0.0, help_text="All runs together [s].")
    started_at = models.DateTimeField(null=True, blank=True)
    succeeded_at = models.DateTimeField(null=True, blank=True, help_text="When it last ended well.")
    failed_at = models.DateTimeField(null=True, blank=True, help_text="When it last failed.")
    note = models.CharField(max_length=250, blank=True, help_text="What the last run did, or the kind of its failure.")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class WorkerSeen(models.Model):
    """When a worker last said that it lives."""

    name = models.CharField(max_length=120, unique=True)
    seen_at = models.DateTimeField()

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "workers seen"

    def __str__(self) -> str:
        return self.name
