from uuid import uuid4

from django.db import models

from club.scope import ClubOwned


class SignInLink(ClubOwned):
    """A one-time link. Only the hash of its token is kept; the token itself is shown once."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    person = models.ForeignKey("club.Person", on_delete=models.CASCADE, related_name="sign_in_links")
    made_by = models.ForeignKey("club.Person", on_delete=models.SET_NULL, null=True, related_name="+")
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)
    revoked_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"link for {self.person}"
