"""Mails to the people of a club, each row one mail to one person, and what somebody wants no mail about."""

from uuid import uuid4

from django.db import models
from django.utils.translation import gettext_lazy as _

from club.models.people import Person
from club.scope import ClubOwned


class Mail(ClubOwned):
    """One mail to one person. Made by ``club.mail.actions`` alone; ``key`` keeps the same thing from being said twice.

    A mail to a minor (``minor``) goes only after an adult's mail of the same kind and key about them was taken by the
    server. ``attempt`` is the token of the worker that stored SENDING.
    """

    class State(models.TextChoices):
        WAITING = "waiting", _("waiting")
        SENDING = "sending", _("being sent")
        SENT = "sent", _("sent")
        UNSURE = "unsure", _("may have been sent")
        FAILED = "failed", _("refused")
        DROPPED = "dropped", _("not sent")
        HELD = "held", _("held back")

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    kind = models.CharField(max_length=20)
    key = models.CharField(max_length=80)
    to = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    about = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    minor = models.BooleanField(default=False)
    copy = models.BooleanField(default=False)  # to an adult who reads along, without a tie to whom it is about
    language = models.CharField(max_length=10)
    title = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    reason = models.CharField(max_length=20, blank=True)
    answer = models.CharField(max_length=300, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    attempt = models.UUIDField(null=True, blank=True)
    queued_at = models.DateTimeField()
    due_at = models.DateTimeField()
    sending_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["club", "kind", "key", "about", "to"], name="one_mail_a_thing_and_reader")
        ]
        indexes = [
            models.Index(fields=["club", "-queued_at"], name="mails_newest_first"),
            models.Index(fields=["club", "due_at"], name="mails_waiting", condition=models.Q(state="waiting")),
        ]

    def __str__(self) -> str:
        return self.title


class MailStop(ClubOwned):
    """Somebody who wants no mail of a kind. Their pages stay as they are."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    kind = models.CharField(max_length=20)
    at = models.DateTimeField()

    subject = "person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "person", "kind"], name="one_stop_a_kind")]

    def __str__(self) -> str:
        return f"{self.person}: no {self.kind}"
