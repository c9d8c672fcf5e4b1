"""Files into a club's catalogue: first read and kept aside, then taken item by item; and new shipped editions."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from club.members import Member
from drills.actions.store import store_items
from drills.core.items import Fields, ItemId, Items, stamp, take_apart
from drills.core.merge import Difference, differences, kept_as_retired, merged
from drills.core.plain import catalogue_from_plain
from drills.core.reading import read_catalogue
from drills.core.yaml_text import read_yaml
from drills.models import CatalogueDraft, CatalogueEdition
from drills.queries import whole

KEPT = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Comparison:
    """What another catalogue has differently from the club's. read: the stamp of the club's items."""

    ours: Items
    theirs: Items
    asked: tuple[Difference, ...]
    used: frozenset[ItemId]
    read: str

    @property
    def retires(self) -> frozenset[ItemId]:
        """Of what the other one does not have: what stays, retired, if it is taken out."""
        return frozenset(one.item for one in self.asked if kept_as_retired(one, self.used))

    @property
    def proposed(self) -> frozenset[str]:
        return frozenset(choice for one in self.asked for choice in one.proposed)

    def chosen(self, taken: Collection[str]) -> dict[ItemId, Fields]:
        return merged(self.ours, self.theirs, self.asked, taken, self.used)


def draft_import(*, by: Member, data: bytes) -> CatalogueDraft:
    """Reads a file and keeps it for the next step. Raises CatalogueProblems with all that is wrong with it."""
    read_catalogue(data)
    now = timezone.now()
    with transaction.atomic():
        CatalogueDraft.objects.for_member(by).filter(made_at__lt=now - KEPT).delete()
        return CatalogueDraft.objects.create(club=by.club, made_at=now, source=data.decode("utf-8-sig"))


def compare_draft(by: Member, draft: CatalogueDraft) -> Comparison:
    theirs = take_apart(read_catalogue(draft.source.encode()))
    ours, used = whole.items(by), whole.used(by)
    asked = tuple(one for one in differences(ours, ours, theirs) if not _retired_already(one, ours, used))
    return Comparison(ours, theirs, asked, used, stamp(ours))


def _retired_already(difference: Difference, ours: Items, used: Collection[ItemId]) -> bool:
    """Whether it would go, but is retired and must stay: nothing to ask."""
    return kept_as_retired(difference, used) and ours[difference.item].get("retired") is True


def apply_draft(*, by: Member, draft: CatalogueDraft, taken: Collection[str], read: str) -> tuple[Difference, ...]:
    """Stores what was chosen, and forgets the draft. Raises CatalogueRefused, CatalogueChanged; then all stays."""
    with transaction.atomic():
        changed = store_items(by=by, items=compare_draft(by, draft).chosen(taken), read=read)
        draft.delete()
    return changed


def discard_draft(*, by: Member, draft: CatalogueDraft) -> None:
    CatalogueDraft.objects.for_member(by).filter(pk=draft.pk).delete()


def compare_edition(by: Member, base: str, theirs: Items) -> Comparison:
    """base: the text of the shipped edition that the club took last; it was good when it was taken."""
    ours, used = whole.items(by), whole.used(by)
    before = take_apart(catalogue_from_plain(read_yaml(base.encode()).value))
    return Comparison(ours, theirs, differences(before, ours, theirs), used, stamp(ours))


def adopt_edition(
    *, by: Member, base: str, version: int, source: str, taken: Collection[str], read: str
) -> tuple[Difference, ...]:
    """Takes what was chosen of a new shipped edition, which from now on is the base of the club's catalogue.

    What was not taken is the club's own choice and is not asked again. Raises as `apply_draft` does.
    """
    with transaction.atomic():
        theirs = take_apart(read_catalogue(source.encode()))
        changed = store_items(by=by, items=compare_edition(by, base, theirs).chosen(taken), read=read)
        CatalogueEdition.objects.create(club=by.club, version=version, loaded_at=timezone.now(), source=source)
    return changed
