"""Forms of what is watched: checkpoints, how they go wrong, and what leads to what."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from drills.core.catalogue import LABEL_LENGTH
from drills.core.items import Fields, ItemId, Kind, of_kind
from drills.core.keys import key_from, shortened
from drills.core.phases import CELLS as CELLS_OF_PHASE
from drills.forms.base import ItemForm
from drills.forms.fields import (
    Lines,
    Words,
    choice_of,
    items_to_choose,
    one_of,
    remedies_to_choose,
    remedy_of,
    some_of,
)
from drills.words import CELLS, FAULT_KINDS, FIELDS, PHASES, PLACES, label_of

NEW_FAULTS = 3
BLANK_REMEDIES = 2
CUE_HINT = gettext_lazy("Short, as it is called across a hall. One cue a line.")


class NewFaults:
    """Rows of new faults in a form: name, how it goes wrong, cues, a remedy. Empty rows do not count."""

    def add_rows(self: Any, prefix: str, required_first: bool) -> None:
        for n in range(1, NEW_FAULTS + 1):
            one = f"{prefix}fault_{n}_"
            number = {"number": n}
            first = required_first and n == 1
            self.fields[f"{one}name"] = Words(max_length=80, required=first, label=_("Fault %(number)d") % number)
            self.fields[f"{one}kind"] = one_of(
                FAULT_KINDS, required=False, initial="other", label=_("Fault %(number)d goes wrong") % number
            )
            self.fields[f"{one}kind"].choices = self.fields[f"{one}kind"].choices[1:]
            self.fields[f"{one}cues"] = Lines(
                rows=2, required=False, label=_("Cues for fault %(number)d") % number, help_text=CUE_HINT
            )
            self.fields[f"{one}remedy"] = forms.ChoiceField(
                choices=remedies_to_choose(self.items), required=False, label=_("Remedy for fault %(number)d") % number
            )

    def rows(self: Any, prefix: str, checkpoint: str) -> dict[ItemId, Fields]:
        made: dict[ItemId, Fields] = {}
        for n in range(1, NEW_FAULTS + 1):
            one = f"{prefix}fault_{n}_"
            said = {part: self.cleaned_data.get(one + part) for part in ("name", "kind", "cues", "remedy")}
            if said["name"] or said["cues"] or said["remedy"] or self[f"{one}name"].errors:
                taken = {*of_kind(self.items, Kind.FAULT), *of_kind(self.items, Kind.CAUSE), *(i.key for i in made)}
                item = ItemId(Kind.FAULT, key_from(said["name"] or "", taken, "fault"))
                made[item] = _new_fault(item.key, checkpoint, said)
                places = {"name": "name", "label": "name", "kind": "kind", "cues": "cues", "remedies": "remedy"}
                self.places[item] = {field: one + part for field, part in places.items()}
        return made

    def row_names(self: Any, prefix: str) -> tuple[str, ...]:
        return tuple(
            f"{prefix}fault_{n}_{part}" for n in range(1, NEW_FAULTS + 1) for part in ("name", "kind", "cues", "remedy")
        )


def _new_fault(key: str, checkpoint: str, said: dict[str, Any]) -> Fields:
    fields: Fields = {"checkpoint": checkpoint, "key": key, "kind": said["kind"] or "other"}
    if said["name"]:
        fields |= {"name": said["name"], "label": shortened(said["name"], LABEL_LENGTH)}
    if said["cues"]:
        fields["cues"] = said["cues"]
    if said["remedy"]:
        fields["remedies"] = [remedy_of(said["remedy"])]
    return fields


class CheckpointForm(ItemForm, NewFaults):
    kind = Kind.CHECKPOINT
    name = Words(max_length=80)
    phase = one_of(PHASES)
    good = Words(max_length=600, rows=3)
    seen_from = some_of(PLACES, help_text=gettext_lazy("Any of these will do."))
    cells = some_of(CELLS, required=False, help_text=gettext_lazy("Left empty: all of its part of the run."))
    landing = forms.IntegerField(
        min_value=0,
        max_value=20,
        required=False,
        help_text=gettext_lazy("Counted back from take-off, which is 0. Left empty where it runs on."),
    )
    common_practice = forms.BooleanField(required=False)

    def first_values(self) -> dict[str, Any]:
        cells = self.old.get("cells")
        return {**self.old, "cells": [str(cell) for cell in cells] if isinstance(cells, list) else []}

    def add_fields(self) -> None:
        if not self.item:
            self.add_rows("", required_first=True)

    def own_fields(self) -> Fields:
        names = ("name", "phase", "good", "seen_from", "landing", "common_practice", "retired")
        fields = {name: value for name, value in super().own_fields().items() if name in names}
        return {**fields, **cells_of(self.cleaned_data.get("cells"), self.cleaned_data.get("phase"))}

    def others(self, item: ItemId) -> dict[ItemId, Fields]:
        if self.item:
            return {}
        self.places[item] = {"faults": "fault_1_name"}
        return self.rows("", item.key)


def cells_of(chosen: list[str] | None, phase: str | None) -> Fields:
    """Cells of the strip as the catalogue writes them: those chosen, else all of the phase."""
    cells = chosen or [str(cell) for known, of in CELLS_OF_PHASE.items() if known == phase for cell in of]
    return {"cells": [int(cell) if cell.isdigit() else cell for cell in cells]} if cells else {}


class FaultForm(ItemForm):
    """A fault of a checkpoint. checkpoint: given for a new one."""

    kind = Kind.FAULT
    name = Words(max_length=80)
    label = Words(max_length=LABEL_LENGTH, required=False, help_text=gettext_lazy("Left empty: made from the name."))
    unsafe = forms.BooleanField(required=False)
    cues = Lines(required=False, help_text=CUE_HINT)

    def __init__(self, *args: Any, checkpoint: str = "", **options: Any) -> None:
        self.checkpoint = checkpoint
        super().__init__(*args, **options)

    def first_values(self) -> dict[str, Any]:
        values = {**self.old}
        for n, remedy in enumerate(self._remedies(), 1):
            values |= {f"remedy_{n}": choice_of(remedy), f"remedy_{n}_note": remedy.get("note", "")}
        return values

    def _remedies(self) -> list[dict[str, Any]]:
        remedies = self.old.get("remedies")
        return [one for one in remedies if isinstance(one, dict)] if isinstance(remedies, list) else []

    def add_fields(self) -> None:
        self.fields["kind"] = one_of(FAULT_KINDS, initial="other")
        self.order_fields(["name", "label", "kind"])
        keep = [choice_of(remedy) for remedy in self._remedies()]
        self.remedies = min(len(keep) + BLANK_REMEDIES, 10)
        for n in range(1, self.remedies + 1):
            number = {"number": n}
            self.fields[f"remedy_{n}"] = forms.ChoiceField(
                choices=remedies_to_choose(self.items, keep), required=False, label=_("Remedy %(number)d") % number
            )
            self.fields[f"remedy_{n}_note"] = Words(
                max_length=600, required=False, label=_("Why remedy %(number)d helps here") % number
            )

    def neighbours(self) -> dict[str, Fields]:
        at = self.old.get("checkpoint") or self.checkpoint
        return {key: fields for key, fields in super().neighbours().items() if fields.get("checkpoint") == at}

    def new_key(self) -> str:
        taken = {*of_kind(self.items, Kind.FAULT), *of_kind(self.items, Kind.CAUSE)}
        return key_from(str(self.cleaned_data.get("name") or ""), taken, otherwise="fault")

    def covers(self) -> set[str]:
        return {*super().covers(), "remedies"}

    def own_fields(self) -> Fields:
        fields = {name: value for name, value in super().own_fields().items() if not name.startswith("remedy_")}
        name = self.cleaned_data.get("name")
        if name and "label" not in fields and not self["label"].errors:
            fields["label"] = shortened(name, LABEL_LENGTH)
        said = [
            remedy_of(choice, self.cleaned_data.get(f"remedy_{n}_note", ""))
            for n in range(1, self.remedies + 1)
            if (choice := self.cleaned_data.get(f"remedy_{n}"))
        ]
        fields["checkpoint"] = self.old.get("checkpoint") or self.checkpoint
        return {**fields, **({"remedies": said} if said else {})}

    def clean(self) -> dict[str, Any]:
        for n in range(1, self.remedies + 1):
            if self.cleaned_data.get(f"remedy_{n}_note") and not self.cleaned_data.get(f"remedy_{n}"):
                self.add_error(f"remedy_{n}", _("Choose the remedy that this note is about."))
        return super().clean()


class LinkForm(ItemForm):
    kind, placed, keyed = Kind.LINK, False, False

    def first_values(self) -> dict[str, Any]:
        source = [f"{word}:{self.old[word]}" for word in ("fault", "cause") if self.old.get(word)]
        mend = self.old.get("mend")
        note = mend.get("note", "") if isinstance(mend, dict) else ""
        return {**self.old, "source": "".join(source), "mend": choice_of(mend), "mend_note": note}

    def add_fields(self) -> None:
        causes = [(f"cause:{key}", name) for key, name in items_to_choose(self.items, Kind.CAUSE)]
        faults = self._faults()
        self.fields["source"] = forms.ChoiceField(
            choices=[
                ("", "—"),
                (_("Causes"), causes),
                *((at, [(f"fault:{k}", n) for k, n in of]) for at, of in faults),
            ],
            label=_("What leads"),
        )
        self.fields["to"] = forms.ChoiceField(choices=[("", "—"), *faults], label=_("To which fault"))
        self.fields["note"] = Words(max_length=600, required=False, rows=2)
        self.fields["mend"] = forms.ChoiceField(
            choices=remedies_to_choose(self.items, [choice_of(self.old.get("mend"))]),
            required=False,
            help_text=_("For the first link of a chain: what mends the rest."),
        )
        self.fields["mend_note"] = Words(max_length=600, required=False, label=_("Why that mends it"))
        self.fields["common_practice"] = forms.BooleanField(required=False, label=FIELDS["common_practice"])

    def _faults(self) -> list[tuple[str, list[tuple[str, Any]]]]:
        """By checkpoint, in the order of the run."""
        groups: dict[str, list[tuple[str, Any]]] = {}
        for key, fields in of_kind(self.items, Kind.FAULT).items():
            groups.setdefault(self.names[str(fields["checkpoint"])], []).append((key, label_of(fields)))
        return list(groups.items())

    def covers(self) -> set[str]:
        return {*self.fields, "fault", "cause"}

    def own_fields(self) -> Fields:
        said = self.cleaned_data
        word, _colon, key = str(said.get("source") or "").partition(":")
        fields: Fields = {word: key} if key else {}
        for name in ("to", "note"):
            if said.get(name):
                fields[name] = said[name]
        if said.get("mend"):
            fields["mend"] = remedy_of(said["mend"], said.get("mend_note", ""))
        return {**fields, **({"common_practice": True} if said.get("common_practice") else {})}

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        if not said.get("source") or not said.get("to"):
            return said  # both are reported already, and without them there is no link to check
        if said.get("mend_note") and not said.get("mend"):
            self.add_error("mend", _("Choose what mends it, or leave the note out."))
        fields = self.own_fields()
        item = ItemId(Kind.LINK, f"{said['source'].partition(':')[2]}>{said['to']}")
        if item != self.item and item in self.items:
            self.add_error("to", _("This link is there already."))
        self.places[item] = {"fault": "source", "cause": "source", "": "to"}
        self.result = {(item if one == self.item else one): known for one, known in self.items.items()} | {item: fields}
        self._seen_meanwhile()
        self._check()
        return said

    def _check(self) -> None:
        from drills.core.items import misfits

        for misfit in misfits(self.result):
            self._say(misfit)


__all__ = ["CheckpointForm", "FaultForm", "LinkForm", "NewFaults"]
