"""What athletes and parents do not know yet."""

from django.db import models

from club.scope import ClubOwned
from sessions.practices.models import Practice


class Untold(ClubOwned):
    """A published practice that changed, and how it stood when its people last knew. Gone once they were told."""

    practice = models.OneToOneField(Practice, on_delete=models.CASCADE, related_name="+")
    day = models.DateField()
    starts = models.TimeField()
    ends = models.TimeField()
    venue = models.CharField(max_length=120)
    on = models.BooleanField()

    def __str__(self) -> str:
        return f"untold: {self.practice}"
