"""Two catalogues of one descent, compared item by item, and the one put together from what was chosen.

An import has the club's own catalogue as its base, so every difference is the file's. A new shipped edition has the
edition that the club took last as its base: what only the club changed is not even asked about, what only the edition
changed is offered, and where both changed the same thing the club's words stay unless it chooses otherwise.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from drills.core.items import COVER, RETIRABLE, Fields, ItemId, Items, Kind, of_kind, take_out
from drills.core.yaml_text import Plain


class What(StrEnum):
    """`REMOVED`: not in the other one. `ORDER`: the same items, in another order."""

    ADDED = "added"
    CHANGED = "changed"
    REMOVED = "removed"
    ORDER = "order"


@dataclass(frozen=True, slots=True)
class FieldDifference:
    """One field. base: what both came from; None where it is left out. disputed: ours and theirs both moved away."""

    name: str
    base: Plain
    ours: Plain
    theirs: Plain
    disputed: bool


@dataclass(frozen=True, slots=True)
class Difference:
    """What the other one has differently. disputed: the club changed this item as well.

    An item is taken as a whole by its id; of a disputed item that both have, each field by `id#field`.
    """

    item: ItemId
    what: What
    fields: tuple[FieldDifference, ...]
    disputed: bool

    @property
    def by_field(self) -> bool:
        return self.disputed and self.what is What.CHANGED

    @property
    def choices(self) -> tuple[str, ...]:
        """The names by which it, or each of its fields, can be taken."""
        if self.by_field:
            return tuple(f"{self.item}#{field.name}" for field in self.fields)
        return (f"{self.item}#order" if self.what is What.ORDER else str(self.item),)

    @property
    def proposed(self) -> tuple[str, ...]:
        """Those that are taken unless somebody says otherwise: never over something of the club's."""
        if self.by_field:
            return tuple(choice for choice, field in zip(self.choices, self.fields, strict=True) if not field.disputed)
        return () if self.disputed else self.choices


def differences(base: Items, ours: Items, theirs: Items) -> tuple[Difference, ...]:
    """All that the club is asked about, in the order of the file."""
    found: list[Difference] = []
    for kind in Kind:
        keys = _lined_up(list(of_kind(theirs, kind)), list(of_kind(ours, kind)))
        for key in keys:
            item = ItemId(kind, key)
            difference = _difference(item, base.get(item), ours.get(item), theirs.get(item))
            if difference:
                found.append(difference)
        if _order_differs(ours, theirs, kind) and _order_differs(base, theirs, kind):
            found.append(Difference(ItemId(kind, ""), What.ORDER, (), disputed=_order_differs(base, ours, kind)))
    return tuple(found)


def _difference(item: ItemId, base: Fields | None, ours: Fields | None, theirs: Fields | None) -> Difference | None:
    if theirs in (ours, base):
        return None
    disputed = ours != base
    if ours is None:
        return Difference(item, What.ADDED, _fields({}, {}, theirs or {}), disputed)
    if theirs is None:
        return Difference(item, What.REMOVED, (), disputed)
    return Difference(item, What.CHANGED, _fields(base or {}, ours, theirs), disputed)


def _fields(base: Fields, ours: Fields, theirs: Fields) -> tuple[FieldDifference, ...]:
    """The fields in which theirs moved away from the base and is not what ours has already."""
    found = []
    for name in dict.fromkeys([*theirs, *ours]):
        was, mine, other = base.get(name), ours.get(name), theirs.get(name)
        if other not in (mine, was):
            found.append(FieldDifference(name, was, mine, other, disputed=mine != was))
    return tuple(found)


# ── order ────────────────────────────────────────────────────────────────────────────────────────────────────────────


def _order_differs(one: Items, other: Items, kind: Kind) -> bool:
    """Whether what both have stands in another order; faults only within their checkpoint."""
    here, there = of_kind(one, kind), of_kind(other, kind)
    both = [key for key in here if key in there and _lane(here[key]) == _lane(there[key])]
    lanes = {_lane(here[key]) for key in both}
    return any(
        [key for key in both if _lane(here[key]) == lane]
        != [key for key in there if key in set(both) and _lane(here[key]) == lane]
        for lane in lanes
    )


def _lane(fields: Fields) -> Plain:
    lane = fields.get("checkpoint")
    return lane if isinstance(lane, str) else None


def _lined_up(lead: Sequence[str], other: Iterable[str]) -> list[str]:
    """All of lead in its order; what only the other has comes after its neighbour there."""
    line = list(lead)
    known = set(line)
    before: str | None = None
    for key in other:
        if key not in known:
            line.insert(line.index(before) + 1 if before is not None else 0, key)
            known.add(key)
        before = key
    return line


# ── putting together ─────────────────────────────────────────────────────────────────────────────────────────────────


def merged(
    ours: Items, theirs: Items, asked: Iterable[Difference], taken: Collection[str], used: Collection[ItemId] = ()
) -> dict[ItemId, Fields]:
    """Ours with what was taken. Taking a removal retires what was used. Whether all of it fits, `misfits` says."""
    result: dict[ItemId, Fields] = {item: dict(fields) for item, fields in ours.items()}
    gone: list[ItemId] = []
    by_their_order: set[Kind] = set()
    for difference in asked:
        took = [choice for choice in difference.choices if choice in taken]
        if difference.what is What.ORDER and took:
            by_their_order.add(difference.item.kind)
        elif difference.what is What.REMOVED and took:
            gone.append(difference.item)
        elif difference.by_field:
            _take_fields(result[difference.item], difference, set(took))
        elif took:
            result[difference.item] = dict(theirs[difference.item])
    return take_out(_ordered(result, ours, theirs, by_their_order), gone, used)


def _take_fields(fields: Fields, difference: Difference, took: Collection[str]) -> None:
    for choice, field in zip(difference.choices, difference.fields, strict=True):
        if choice not in took:
            continue
        if field.theirs is None:
            fields.pop(field.name, None)
        else:
            fields[field.name] = field.theirs


def _ordered(result: Items, ours: Items, theirs: Items, by_their_order: Collection[Kind]) -> dict[ItemId, Fields]:
    ordered: dict[ItemId, Fields] = {}
    for kind in Kind:
        own, other = list(of_kind(ours, kind)), list(of_kind(theirs, kind))
        line = _lined_up(other, own) if kind in by_their_order else _lined_up(own, other)
        ids = (ItemId(kind, key) for key in line)
        ordered |= {item: result[item] for item in ids if item in result}
    return ordered


def kept_as_retired(difference: Difference, used: Collection[ItemId]) -> bool:
    """Whether taking this removal leaves the item in the catalogue, because old records name it."""
    return difference.what is What.REMOVED and difference.item in used and difference.item.kind in RETIRABLE


def every_choice(asked: Iterable[Difference]) -> Iterator[str]:
    for difference in asked:
        yield from difference.choices


def same_items(one: Items, other: Items) -> bool:
    """Equal in content and order; the edition's own number and name count as well."""
    return not differences(one, one, other) and set(one) == set(other) and COVER in one
