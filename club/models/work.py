"""What is still to be done, as rows: see club/duties.py."""

from django.db import models
from django.db.models import F, Q

from club.scope import ClubOwned


class Duty(ClubOwned):
    """Work unique by kind, club and key. Due while ``done`` is behind ``asked``."""

    kind = models.CharField(max_length=40)
    queue = models.CharField(max_length=10)
    key = models.CharField(max_length=160)
    asked = models.PositiveBigIntegerField(default=1)
    done = models.PositiveBigIntegerField(default=0)
    due_at = models.DateTimeField()
    asked_at = models.DateTimeField()
    leased_until = models.DateTimeField(null=True)
    token = models.UUIDField(null=True)
    failures = models.PositiveIntegerField(default=0)
    last_error = models.TextField(blank=True)

    class Meta:
        verbose_name_plural = "duties"
        constraints = [
            models.UniqueConstraint(fields=["kind", "club", "key"], name="one_duty_a_key"),
            models.CheckConstraint(condition=Q(done__lte=F("asked")), name="done_never_ahead_of_asked"),
        ]
        indexes = [models.Index(fields=["queue", "due_at"], name="due_duties", condition=Q(done__lt=F("asked")))]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class Heartbeat(models.Model):
    """When a worker last drained its queue."""

    queue = models.CharField(max_length=10, primary_key=True)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.queue} at {self.at}"
