"""The roll-up's doors: four kinds of duty, from one day of one athlete and drill to all of a drill.

``day_counts``   key ``<athlete id>/<drill id>/<day>``: left by whoever writes reps, once for each pair and day touched.
``pair_counts``  key ``<athlete id>/<drill id>``: every day of the pair, in one go.
``drill_counts`` key ``<drill id>``: left when the drill's gate or the order of its checkpoints changes, since figures
                 go by the gate of today. Asks for each pair that has reps of the drill.
``standing``     key ``<athlete id>``: left by each of the first two, and by each decision. Folds the athlete's book,
               and tells what of their faults rises or falls.

The usual handler works first and stores afterwards. These work inside the transaction of their effect, under the
pair's lock, for a reason: the roll-up of a day also replays the days after it. Had it read those before it held the
lock, a worker that rolled up a later day in between would see its newer state overwritten by an older reading, and no
duty would be left to mend it. Reading after the lock, each one sees what every earlier holder saw, and more. The
transaction stays short: it reads one day and what follows, which is normally nothing. What is written after the read
leaves the duty again, so this one stays due.
"""

from datetime import date
from uuid import UUID

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from athletes.actions.standing import adopt_progression
from club import duties
from club.clock import club_today
from sessions.trends import actions
from sessions.trends.queries import Pair


@duties.handles("day_counts", _("counting up a day of one vaulter at one drill"))
def day_counts(claim: duties.Claim) -> None:
    athlete, drill, day = claim.key.split("/")
    with claim.effect():
        actions.roll_up_day(claim.club, Pair(UUID(athlete), int(drill)), date.fromisoformat(day))


@duties.handles("pair_counts", _("counting up all days of one vaulter at one drill"))
def pair_counts(claim: duties.Claim) -> None:
    athlete, drill = claim.key.split("/")
    with claim.effect():
        actions.roll_up_pair(claim.club, Pair(UUID(athlete), int(drill)))


@duties.handles("drill_counts", _("counting up a drill again after its gate changed"))
def drill_counts(claim: duties.Claim) -> None:
    with claim.effect():
        actions.ask_for_pairs(claim.club, drill_id=int(claim.key))


@duties.handles("standing", _("working out where a vaulter stands with each drill"))
def standing(claim: duties.Claim) -> None:
    with transaction.atomic():  # by itself: it leaves this very duty for everybody, in the order of all writers
        adopt_progression(club=claim.club, today=club_today(claim.club))
    with claim.effect():
        actions.roll_up_standing(claim.club, UUID(claim.key), timezone.now())
        actions.note_signals(claim.club, UUID(claim.key), club_today(claim.club))
