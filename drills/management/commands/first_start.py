from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandParser
from django.db import transaction
from django.utils import timezone

from club.models import Club, Membership, Person
from club.signin import new_link
from drills.shipped import load_shipped_catalogue

HEAD_COACH = Membership.RoleChoice.HEAD_COACH


class Command(BaseCommand):
    help = "Makes the first club with its catalogue and prints one-time sign-in links. Does nothing if there is a club."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--demo", action="store_true", help="make the invented club instead of an empty one")
        parser.add_argument("--base-url", default="http://localhost:8000")
        parser.add_argument("--club", default="Our vault club", help="name of the new club")
        parser.add_argument("--coach", default="Head Coach", help="name of its first head coach")
        parser.add_argument("--archive", default="", help="a club's archive to load instead")
        parser.add_argument("--zone", default="UTC", help="time zone of the club, such as Europe/London")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["demo"]:
            call_command("load_demo", base_url=options["base_url"], stdout=self.stdout)
        elif options["archive"] and not Club.objects.exists():
            self.loaded_club(options)
        elif Club.objects.exists():
            self.stdout.write("For a new sign-in link of a head coach: manage.py signin_link")
        else:
            self.first_club(options)

    def loaded_club(self, options: dict[str, Any]) -> None:
        call_command("load_archive", options["archive"], verbosity=0, stdout=self.stdout)  # the links come here
        rows = Membership.objects.filter(role=HEAD_COACH, left_on__isnull=True).select_related("club", "person")
        for row in rows.order_by("joined_on", "pk"):
            link = new_link(club=row.club, person=row.person)
            self.stdout.write(f"head coach\t{row.person.full_name}\t{link.url(options['base_url'])}")

    def first_club(self, options: dict[str, Any]) -> None:
        given, _, family = options["coach"].rpartition(" ")
        with transaction.atomic():
            club = Club.objects.create(slug="club", name=options["club"], zone=options["zone"])
            coach = Person.objects.create(given_name=given or family, family_name=family if given else "")
            Membership.objects.create(
                club=club, person=coach, role=HEAD_COACH, adult_level="contact", joined_on=timezone.now().date()
            )
            load_shipped_catalogue(club)
            link = new_link(club=club, person=coach)
        self.stdout.write(f"head coach\t{coach.full_name}\t{link.url(options['base_url'])}")
