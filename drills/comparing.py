"""A comparison of two catalogues, ready to be read: item by item, with what can be chosen."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from drills.actions import CatalogueRefused, Comparison
from drills.core.items import Kind
from drills.core.merge import Difference, FieldDifference
from drills.words import FIELDS, MANY, WHAT, Names, item_words, misfit_words, names_of, value_words


@dataclass(frozen=True, slots=True)
class FieldLine:
    """choice: empty where the item is taken as a whole. base, ours, theirs: lines to read."""

    label: str
    base: list[str]
    ours: list[str]
    theirs: list[str]
    disputed: bool
    choice: str
    taken: bool


@dataclass(frozen=True, slots=True)
class ItemLine:
    """choice: empty where its fields are chosen one by one."""

    name: str
    what: str
    disputed: bool
    choice: str
    taken: bool
    fields: list[FieldLine]

    @property
    def brief(self) -> bool:
        """Whether the fields may stay folded away: everything of it is new."""
        return len(self.fields) > 3 and not any(line.ours for line in self.fields)


@dataclass(frozen=True, slots=True)
class KindLines:
    title: str
    items: list[ItemLine]


def lines(comparison: Comparison, taken: Collection[str]) -> list[KindLines]:
    """By kind, in the order of the file."""
    names = names_of(comparison.theirs, comparison.ours)
    found: dict[Kind, list[ItemLine]] = {}
    for difference in comparison.asked:
        line = _item(difference, comparison, taken, names)
        found.setdefault(difference.item.kind, []).append(line)
    return [KindLines(str(MANY.get(kind, _("The catalogue itself"))), items) for kind, items in found.items()]


def _item(difference: Difference, comparison: Comparison, taken: Collection[str], names: Names) -> ItemLine:
    choice = "" if difference.by_field else difference.choices[0]
    inner_choices = difference.choices if difference.by_field else ("",) * len(difference.fields)
    what = _("retired, because old records name it") if difference.item in comparison.retires else WHAT[difference.what]
    return ItemLine(
        name=item_words(difference.item, names),
        what=str(what),
        disputed=difference.disputed,
        choice=choice,
        taken=choice in taken,
        fields=[
            _field(field, inner, taken, names)
            for field, inner in zip(difference.fields, inner_choices, strict=True)
            if field.name != "key"
        ],
    )


def _field(field: FieldDifference, choice: str, taken: Collection[str], names: Names) -> FieldLine:
    return FieldLine(
        label=str(FIELDS.get(field.name, field.name)),
        base=value_words(field.name, field.base, names),
        ours=value_words(field.name, field.ours, names),
        theirs=value_words(field.name, field.theirs, names),
        disputed=field.disputed,
        choice=choice,
        taken=choice in taken,
    )


def refusals(refused: CatalogueRefused, comparison: Comparison) -> list[str]:
    names = names_of(comparison.theirs, comparison.ours)
    return list(dict.fromkeys(misfit_words(misfit, names) for misfit in refused.misfits))


def known_choices(comparison: Comparison, said: Iterable[str]) -> frozenset[str]:
    """Those of the posted choices that there are; what is not asked cannot be taken."""
    return frozenset(said) & frozenset(choice for one in comparison.asked for choice in one.choices)


def count_disputed(comparison: Comparison) -> int:
    return sum(one.disputed for one in comparison.asked)
