"""A roster on its way in. A draft holds the file's cells between two steps and is thrown away after them."""

from uuid import uuid4

from django.db import models

from club.models import Person
from club.scope import ClubOwned


class RosterDraft(ClubOwned):
    """cells: rows of the file, as ``athletes.core.roster.cells`` stores them. choices: what was answered so far."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    made_by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    made_at = models.DateTimeField()
    name = models.CharField(max_length=120)
    cells = models.JSONField()
    choices = models.JSONField(default=dict)

    def __str__(self) -> str:
        return self.name


class RosterColumns(ClubOwned):
    """Which column means what in files with these headings: mapped once, remembered by the club."""

    signature = models.CharField(max_length=64)
    choices = models.JSONField()

    class Meta:
        verbose_name_plural = "roster columns"
        constraints = [models.UniqueConstraint(fields=["club", "signature"], name="one_mapping_a_kind_of_file")]

    def __str__(self) -> str:
        return self.signature[:8]
