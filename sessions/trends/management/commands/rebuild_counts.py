from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from athletes.actions.standing import adopt_progression
from athletes.queries.standing import athletes_of
from club.clock import club_today
from club.models import Club
from sessions.trends import actions, queries


class Command(BaseCommand):
    help = "Makes day counts, readiness and standings again from reps and decisions, athlete by athlete."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--club", help="address of one club; all clubs if left out")

    def handle(self, *args: Any, **options: Any) -> None:
        clubs = Club.objects.filter(slug=options["club"]) if options["club"] else Club.objects.all()
        if options["club"] and not clubs:
            raise CommandError(f"There is no club {options['club']}.")
        self.stdout.write(str(sum(_rebuild(club) for club in clubs)))


def _rebuild(club: Club) -> int:
    """Each pair in its own short transaction, so that nobody waits for the whole; how many pairs."""
    pairs = queries.pairs(club)
    for pair in pairs:
        with transaction.atomic():
            actions.roll_up_pair(club, pair)
    with transaction.atomic():
        adopt_progression(club=club, today=club_today(club))
    for athlete_id in athletes_of(club):
        with transaction.atomic():
            actions.rebuild_standing(club, athlete_id, timezone.now())
    return len(pairs)
