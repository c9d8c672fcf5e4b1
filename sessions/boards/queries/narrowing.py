"""What lists and files can be narrowed down to: athletes, those who left among them, and drills, retired ones too."""

from django.db.models import QuerySet

from athletes.models import Athlete
from club.members import Member
from drills.models import Drill


def athletes(member: Member) -> QuerySet[Athlete]:
    rows = Athlete.objects.for_member(member).select_related("person")
    return rows.order_by("person__given_name", "person__family_name", "pk")


def drills(member: Member) -> QuerySet[Drill]:
    return Drill.objects.for_member(member).order_by("stage__number", "order", "pk")
