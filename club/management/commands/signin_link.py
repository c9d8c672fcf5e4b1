from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from club.models import Club, Membership
from club.signin import new_link


class Command(BaseCommand):
    help = "Prints a one-time sign-in link. The only way to make one for a head coach."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--club", help="address of the club; may be left out when there is one club")
        parser.add_argument("--person", help="full name; may be left out for the first head coach")
        parser.add_argument("--base-url", default="http://localhost:8000")

    def handle(self, *args: Any, **options: Any) -> None:
        rows = Membership.objects.filter(left_on__isnull=True).select_related("person", "club")
        if options["club"]:
            rows = rows.filter(club__slug=options["club"])
        if Club.objects.count() > 1 and not options["club"]:
            raise CommandError("There are several clubs. Name one with --club.")
        wanted = options["person"]
        found = {row.person: row.club for row in rows if self._fits(row, wanted)}
        if len(found) != 1:
            names = ", ".join(sorted(person.full_name for person in found)) or "nobody"
            raise CommandError(f"One person is needed; these fit: {names}. Nothing was made.")
        ((person, club),) = found.items()
        self.stdout.write(new_link(club=club, person=person).url(options["base_url"]))
        self.stderr.write(f"For {person.full_name}, once, within {settings.SIGN_IN_LINK_HOURS} hours.")

    def _fits(self, row: Membership, wanted: str | None) -> bool:
        return row.person.full_name == wanted if wanted else row.role == Membership.RoleChoice.HEAD_COACH
