"""What the catalogue leaves out of a club's archive, and what must hold of one that was loaded."""

from collections.abc import Iterator

from club import archive
from club.models import Club
from drills.actions.rows import new_stamp
from drills.core.items import misfits, take_apart
from drills.models import CatalogueDraft, CatalogueStamp
from drills.queries import whole
from drills.words import misfit_words, names_of

archive.leave_out("a file that somebody has not decided about yet", CatalogueDraft)
archive.leave_out("what each installation makes for itself", CatalogueStamp)


@archive.checks("catalogue")
def holds_together(club: Club) -> Iterator[str]:
    """The same that is asked of a catalogue's file, circles of needs among it."""
    try:
        items = take_apart(whole.of_club(club))
        names = names_of(items)
        yield from (f"{one.item}: {misfit_words(one, names)}" for one in misfits(items))
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        yield f"drills: the catalogue cannot be read: {error!r}"


@archive.after_loading("catalogue")
def stamped(club: Club) -> None:
    new_stamp(club)
