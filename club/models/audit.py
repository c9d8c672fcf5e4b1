from django.db import models

from club.scope import ClubOwned


class AuditEntry(ClubOwned):
    """Who did what to which subject, and when. ``values`` holds old and new; erasure blanks it."""

    at = models.DateTimeField()
    by = models.ForeignKey("club.Person", on_delete=models.SET_NULL, null=True, related_name="+")
    kind = models.CharField(max_length=60)
    subject_kind = models.CharField(max_length=60)
    subject_id = models.CharField(max_length=64)
    values = models.JSONField(null=True)

    class Meta:
        verbose_name_plural = "audit entries"
        indexes = [models.Index(fields=["club", "-at"], name="audit_by_time")]

    def __str__(self) -> str:
        return f"{self.kind} of {self.subject_kind} {self.subject_id}"
