"""What every form of an item does: it changes the whole catalogue in the hand, checks all of it, and points at what is
wrong, field by field. Storing is an action's.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext as _

from drills.core.items import RETIRABLE, Fields, ItemId, Items, Kind, misfits, of_kind, stamp
from drills.core.keys import key_from
from drills.forms.fields import labelled, one_item
from drills.words import KINDS, Names, misfit_words, names_of, problem_words

FIRST = "-"
"""Choice of the place before all others; no key can be it."""


def is_blank(value: Any) -> bool:
    """What the catalogue leaves out; a 0 is none of it."""
    return value is None or value is False or value in ("", [], {})


@dataclass(frozen=True, slots=True)
class Section:
    """Fields that belong together, under a heading. folded: shut at first, since nobody must look at them."""

    title: str
    hint: str
    fields: list[forms.BoundField]
    folded: bool


class ItemForm(forms.Form):
    """An item of the catalogue, new or there already. `result`: all items as they would be, once it is valid."""

    kind: ClassVar[Kind]
    sections_: ClassVar[tuple[tuple[Any, Any, tuple[str, ...]], ...]] = ()
    placed: ClassVar[bool] = True
    folds: ClassVar[frozenset[int]] = frozenset()

    def __init__(self, *args: Any, items: Items, item: ItemId | None = None, **options: Any) -> None:
        self.items, self.item = items, item
        self.old: Fields = dict(items[item]) if item else {}
        self.names: Names = names_of(items)
        self.result: dict[ItemId, Fields] = {}
        self.places: dict[ItemId, dict[str, str]] = {}
        super().__init__(*args, initial={**self.first_values(), **options.pop("initial", {})}, **options)
        self.add_fields()
        if item and self.kind in RETIRABLE:
            self.fields["retired"] = forms.BooleanField(required=False)
        if self.placed:
            self._add_place()
        labelled(self.fields)

    # ── what a kind says about itself ──

    def first_values(self) -> dict[str, Any]:
        return dict(self.old)

    def add_fields(self) -> None:
        """Fields that need the catalogue for their choices."""

    def own_fields(self) -> Fields:
        """The item's fields from what was filled in; blanks are left out."""
        names = [name for name in self.fields if name not in ("after", "sure")]
        return {name: value for name in names if not is_blank(value := self.cleaned_data.get(name))}

    def others(self, item: ItemId) -> dict[ItemId, Fields]:
        """Items that are made along with this one."""
        return {}

    def new_key(self) -> str:
        name = str(self.cleaned_data.get("name") or self.cleaned_data.get("title") or "")
        return key_from(name, of_kind(self.items, self.kind), otherwise=str(self.kind).rstrip("s").replace("_", "-"))

    # ── place in the order ──

    def neighbours(self) -> dict[str, Fields]:
        """The items among which it has a place."""
        return {key: fields for key, fields in of_kind(self.items, self.kind).items() if key != self.key}

    @property
    def key(self) -> str:
        return self.item.key if self.item else ""

    def _add_place(self) -> None:
        keys = list(self.neighbours())
        self.fields["after"] = one_item(
            {ItemId(self.kind, key): fields for key, fields in self.neighbours().items()},
            self.kind,
            keep=keys,
            required=False,
            label=_("Stands after"),
            help_text=_("The order is the one in which things are learned, or come in the run."),
        )
        self.fields["after"].choices = [(FIRST, _("first of all")), *self.fields["after"].choices[1:]]
        order = [key for key in of_kind(self.items, self.kind) if key in keys or key == self.key]
        before = order.index(self.key) - 1 if self.item else len(order) - 1
        self.initial.setdefault("after", order[before] if before >= 0 else FIRST)

    def _put(self, item: ItemId, fields: Fields, items: Items) -> dict[ItemId, Fields]:
        """The items with this one at its place among its kind."""
        after = self.cleaned_data.get("after") or ""
        before_it = ItemId(self.kind, after) if after and after != FIRST else None
        line = [one for one in items if one != item]
        kind_starts = next((at for at, one in enumerate(line) if one.kind is self.kind), len(line))
        ends = max((at + 1 for at, one in enumerate(line) if one.kind is self.kind), default=kind_starts)
        place = line.index(before_it) + 1 if before_it in line else kind_starts if after == FIRST else ends
        line.insert(place, item)
        return {one: fields if one == item else items[one] for one in line}

    # ── checking ──

    def clean(self) -> dict[str, Any]:
        fields = {**{name: value for name, value in self.old.items() if name not in self.covers()}, **self.own_fields()}
        key = self.item.key if self.item else self.new_key()
        item = ItemId(self.kind, key)
        if "key" in self.old or (not self.item and self.keyed):
            fields["key"] = key
        self.places.setdefault(item, {})
        self.result = {**self._placed(item, fields), **self.others(item)}
        self._seen_meanwhile()
        for misfit in misfits(self.result):
            self._say(misfit)
        return self.cleaned_data

    keyed: ClassVar[bool] = True

    def _placed(self, item: ItemId, fields: Fields) -> dict[ItemId, Fields]:
        return self._put(item, fields, self.items) if self.placed else {**self.items, item: fields}

    def covers(self) -> set[str]:
        """Names of the item's fields that this form decides about."""
        return set(self.fields)

    def _say(self, misfit: Any) -> None:
        where = self.places.get(misfit.item) if misfit.item else None
        name = where.get(misfit.field, misfit.field) if where is not None else ""
        if name not in self.fields:
            self.add_error(None, misfit_words(misfit, self.names))
        elif name not in self.errors:
            numbers = [part + 1 for part in misfit.inside if isinstance(part, int)]
            said = problem_words(misfit.problem, self.names)
            self._found.setdefault(name, []).append(
                _("Line %(number)d: %(reason)s") % {"number": numbers[0], "reason": said} if numbers else said
            )

    def full_clean(self) -> None:
        self._found: dict[str, list[str]] = {}
        super().full_clean()
        for name, reasons in self._found.items():
            for reason in dict.fromkeys(reasons):
                self.add_error(name, reason[:1].upper() + reason[1:] + ("" if reason.endswith(".") else "."))

    # ── somebody else at the same item ──

    @property
    def read(self) -> str:
        """The stamp of the item as this page shows it."""
        return stamp({self.item: self.old}) if self.item else ""

    def _seen_meanwhile(self) -> None:
        if self.item and self.data.get("read") != self.read:
            self.add_error(
                None,
                _(
                    "Somebody else changed this since you opened it. What you typed is still here; look at what "
                    "stands there now, then save once more if yours is to stay."
                ),
            )

    # ── for the page ──

    @property
    def kind_words(self) -> str:
        return str(KINDS[self.kind])

    def sections(self) -> Iterator[Section]:
        told = self.sections_ or (("", "", tuple(self.fields)),)
        named = {name for _title, _hint, names in told for name in names}
        for at, (title, hint, names) in enumerate(told):
            rest = [name for name in self.fields if name not in named] if at == len(told) - 1 else []
            shown = [self[name] for name in (*names, *rest) if name in self.fields]
            if shown:
                folded = at in self.folds and not any(field.errors for field in shown)
                yield Section(str(title), str(hint), shown, folded)
