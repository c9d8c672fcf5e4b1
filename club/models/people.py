"""Who is who. A Person may hold several roles in several clubs; a child may never sign in at all."""

from typing import TYPE_CHECKING
from uuid import uuid4

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from club.roles import Relation
from club.scope import NOTHING, ClubOwned

if TYPE_CHECKING:
    from club.members import Member


class Club(models.Model):
    class Units(models.TextChoices):
        METRIC = "metric", _("metres and kilograms")
        IMPERIAL = "imperial", _("feet, inches and pounds")

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    slug = models.SlugField(_("address"), max_length=40, unique=True)
    name = models.CharField(_("name"), max_length=120)
    zone = models.CharField(_("time zone"), max_length=60, default="UTC")
    units = models.CharField(_("units"), max_length=10, choices=Units.choices, default=Units.METRIC)
    demo = models.BooleanField(_("invented"), default=False)

    def __str__(self) -> str:
        return self.name


class PersonQuerySet(models.QuerySet["Person"]):
    def for_member(self, member: "Member") -> "PersonQuerySet":
        """Persons of the member's club: all of them, or those the member's relations reach."""
        in_club = Membership.objects.filter(club=member.club, left_on__isnull=True)
        rows = self.filter(pk__in=in_club.values("person"))
        return rows if member.sees_club else rows.filter(pk__in=member.tied_subjects)


class PersonManager(BaseUserManager.from_queryset(PersonQuerySet)):  # type: ignore[misc]
    def get_by_natural_key(self, sign_in_name: str | None) -> "Person":
        return self.get(sign_in_name=sign_in_name)


class Person(AbstractBaseUser):
    """A human being. Signs in only if they have a sign-in name or are handed a link."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    given_name = models.CharField(_("given name"), max_length=80)
    family_name = models.CharField(_("family name"), max_length=80, blank=True)
    birth_date = models.DateField(_("date of birth"), null=True, blank=True)
    sign_in_name = models.CharField(_("sign-in name"), max_length=80, unique=True, null=True, blank=True)  # noqa: DJ001
    email = models.EmailField(_("e-mail"), blank=True)
    bad_email = models.EmailField(blank=True)  # mail to it came back; nothing goes there while it is the address
    phone = models.CharField(_("phone"), max_length=40, blank=True)
    language = models.CharField(_("language"), max_length=10, default="en")
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "sign_in_name"
    objects = PersonManager()

    def __str__(self) -> str:
        return self.full_name

    @property
    def full_name(self) -> str:
        return f"{self.given_name} {self.family_name}".strip()

    @property
    def short_name(self) -> str:
        """Given name and the first letter of the family name, as said on the squad board."""
        return f"{self.given_name} {self.family_name[:1]}.".strip(" .") + ("." if self.family_name else "")


class Membership(ClubOwned):
    """One role of one person in one club."""

    class RoleChoice(models.TextChoices):
        HEAD_COACH = "head_coach", _("head coach")
        ASSISTANT = "assistant", _("assistant")
        HELPER = "helper", _("helper")
        ATHLETE = "athlete", _("athlete")
        GUARDIAN = "guardian", _("guardian")
        SAFEGUARDING_OFFICER = "safeguarding_officer", _("safeguarding officer")

    LEVELLED = frozenset({RoleChoice.HEAD_COACH, RoleChoice.ASSISTANT})

    class AdultLevel(models.TextChoices):
        CONTACT = "contact", _("may run contact stations")
        FLOOR = "floor", _("may run floor stations")
        PRESENT = "present", _("present only")

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(_("role"), max_length=24, choices=RoleChoice.choices)
    adult_level = models.CharField(_("level"), max_length=10, choices=AdultLevel.choices, blank=True)
    joined_on = models.DateField(_("joined"))
    left_on = models.DateField(_("left"), null=True, blank=True)

    subject = "person"

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["club", "person", "role"], name="one_membership_a_role"),
            models.CheckConstraint(
                condition=Q(role__in=["head_coach", "assistant"]) | Q(adult_level=""),
                name="only_coaches_have_a_level",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}, {self.get_role_display()}"


class Guardianship(ClubOwned):
    """What one guardian may do for one child. A barred tie grants nothing and stays named on the emergency card."""

    guardian = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="wards")
    child = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="guardians")
    sees_progress = models.BooleanField(_("sees progress"), default=True)
    may_collect = models.BooleanField(_("may collect"), default=True)
    may_consent = models.BooleanField(_("may consent"), default=True)
    gets_mail = models.BooleanField(_("gets mail"), default=True)
    barred = models.BooleanField(_("barred"), default=False)
    until = models.DateField(_("until"), null=True, blank=True)

    subject = "child"

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["club", "guardian", "child"], name="one_guardianship_a_pair"),
            models.CheckConstraint(condition=~Q(guardian=models.F("child")), name="nobody_guards_themselves"),
            models.CheckConstraint(
                condition=Q(barred=False)
                | Q(sees_progress=False, may_collect=False, may_consent=False, gets_mail=False),
                name="barred_means_no_rights",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.guardian} for {self.child}"

    @classmethod
    def visible_to(cls, member: "Member") -> Q:
        """The child's own ties, and a guardian's own: separated households learn nothing of each other."""
        own = Q(child=member.person) if Relation.SELF in member.relations else NOTHING
        return own | Q(guardian=member.person, child__in=member.tied_subjects)


class BarredContact(ClubOwned):
    """Somebody who must not collect a child and is no member of the club: a name and what to look out for.

    Only coaches read it; it has no subject path, so no guardian's and no athlete's page can show it.
    """

    child = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="barred_contacts")
    name = models.CharField(_("name"), max_length=120)
    note = models.CharField(_("what to look out for"), max_length=200, blank=True)

    def __str__(self) -> str:
        return self.name


class Consent(ClubOwned):
    """A dated consent: such as to an account or to photos. Withdrawn by a date, never deleted."""

    class Kind(models.TextChoices):
        ACCOUNT = "account", _("an account")
        VIDEO = "video", _("photos and video")
        ALONE = "alone", _("leaving practice on their own")

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="consents")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    given_by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    given_on = models.DateField()
    withdrawn_on = models.DateField(null=True, blank=True)

    subject = "person"

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(withdrawn_on__isnull=True) | Q(withdrawn_on__gte=models.F("given_on")),
                name="withdrawn_after_given",
            )
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.get_kind_display()}"
