from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from club.models import Club, Membership
from club.signin import new_link
from sessions.demo.actions import SLUG, RealMembers, make_demo_club

SHOWN = ("head_coach", "assistant", "athlete", "guardian")


class Command(BaseCommand):
    help = "Makes the invented club and prints a one-time sign-in link for each of the four people who use it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--base-url", default="http://localhost:8000")

    def handle(self, *args: Any, **options: Any) -> None:
        club = Club.objects.filter(slug=SLUG, demo=True).first()
        if club is None:
            club = self._make()
        for role in SHOWN:
            row = Membership.objects.filter(club=club, role=role).select_related("person").order_by("pk")[0]
            link = new_link(club=club, person=row.person).url(options["base_url"])
            self.stdout.write(f"{row.get_role_display()}\t{row.person.full_name}\t{link}")

    def _make(self) -> Club:
        try:
            return make_demo_club()
        except RealMembers:
            raise CommandError(
                "This database holds a real club; the invented one is not put beside it. Nothing was changed. "
                "Use another data folder (SIXMARK_DATA) for the demo."
            ) from None
