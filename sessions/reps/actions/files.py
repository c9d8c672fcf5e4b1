"""The desk takes in what a tablet saved to a file, by the same action as the API."""

from dataclasses import dataclass
from datetime import timedelta

from django.utils import timezone
from django.utils.translation import gettext_noop

from club import audit
from club.members import Member
from club.roles import Permission
from sessions.practices.models import Practice
from sessions.reps.actions.take import REJECTED, Result, take_events
from sessions.reps.core.batches import Batch, Unusable
from sessions.reps.core.events import Event
from sessions.reps.core.files import Part, SavedFile
from sessions.reps.core.reading import Problem
from sessions.reps.models import Device
from sessions.reps.words import message


@dataclass(frozen=True, slots=True)
class Taken:
    """results: one an item, in the order of the file."""

    results: tuple[Result, ...]

    def count(self, state: str) -> int:
        return sum(result.state == state for result in self.results)

    @property
    def rejected(self) -> list[Result]:
        return [result for result in self.results if result.state == REJECTED]


def take_file(*, by: Member, saved: SavedFile) -> Taken:
    """Events of the file, recorded by whoever takes it in. The same file again changes nothing."""
    member = by.acting(Permission.REPS_CORRECT)
    offset = _known_offset(member, saved)
    results: list[Result] = []
    for part in saved.parts:
        results += _take_part(by, member, saved, part, offset)
    return Taken(tuple(results))


def _known_offset(member: Member, saved: SavedFile) -> timedelta:
    """When a file was saved says nothing of a device's clock now; what is known of the device stays."""
    row = Device.objects.for_club(member.club).filter(uuid=saved.device).first()
    return row.clock_offset if row and row.clock_offset is not None else timedelta()


def _take_part(by: Member, member: Member, saved: SavedFile, part: Part, offset: timedelta) -> list[Result]:
    practice = Practice.objects.for_member(member).filter(pk=part.practice).first()
    if practice is None:
        return [_unknown(item) for item in part.items]
    results: list[Result] = []
    for items in part.batches():
        now = timezone.now()
        batch = Batch(saved.device, saved.device_name, now - offset, items, part.version)
        results += take_events(by=by, practice=practice, batch=batch, received_at=now).results
    audit.note(
        by, gettext_noop("took in a file of a tablet"), practice, {"events": len(results), "recorded by": str(part.by)}
    )
    return results


def _unknown(item: Event | Unusable) -> Result:
    problem = Problem("unknown_practice", "practice")
    return Result(str(item.uuid) if item.uuid else None, REJECTED, problem.reason, message(problem))
