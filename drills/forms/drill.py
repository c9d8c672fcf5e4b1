"""The form of a drill, with room for one new checkpoint, so that a new drill is made in one go."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from drills import changes
from drills.core.catalogue import SHORT_LENGTH, Phase
from drills.core.items import Fields, ItemId, Kind, of_kind
from drills.core.keys import key_from, shortened
from drills.forms.base import ItemForm
from drills.forms.checkpoint import NEW_FAULTS, NewFaults, cells_of
from drills.forms.fields import Lines, Numbers, Words, items_to_choose, one_item, one_of, some_of
from drills.words import ADULTS, AREAS, FIELDS, PHASES, PLACES, POLES, RISKS, SURFACES, UNITS, VERDICTS, label_of

OWN = gettext_lazy("nobody else")
NEW = "new_"

PARTS_OF_RUN = {phase: words for phase, words in PHASES.items() if phase is not Phase.ALL}

SECTIONS = (
    (gettext_lazy("What it is"), "", ("name", "stage", "purpose", "easier", "needs")),
    (gettext_lazy("How it is run"), "", ("setup", "how", "dose", "make_easier", "make_harder")),
    (
        gettext_lazy("What to watch"),
        gettext_lazy("what good looks like and what goes wrong stands with each checkpoint"),
        ("phases", "checkpoints", "gate_1", "gate_2", "sure"),
    ),
    (
        gettext_lazy("A new checkpoint"),
        gettext_lazy("only if what you want to watch is not in the list above; it is made together with the drill"),
        (),
    ),
    (gettext_lazy("What good looks like in this drill"), gettext_lazy("where it is different here"), ()),
    (
        gettext_lazy("Where, with whom, how safe"),
        "",
        (
            "risk",
            "entry_drill",
            "areas",
            *(f"surface_{surface}" for surface in SURFACES),
            "adult",
            "poles",
            "slides",
            "safety",
        ),
    ),  # fmt: skip
    (
        gettext_lazy("Run, turns and logging"),
        gettext_lazy("what is usual is filled in"),
        ("steps", "last_landing", "starts_lowered", "unit", "places", "seconds_a_turn", "least_turns", "load"),
    ),
    (gettext_lazy("Its place"), "", ("short", "family", "after", "retired")),
)


class DrillForm(ItemForm, NewFaults):
    kind = Kind.DRILL
    folds = frozenset({3, 4, 6, 7})
    name = Words(max_length=80)
    purpose = Words(max_length=600, rows=2)
    setup = Words(max_length=600, rows=2)
    how = Lines(rows=5, help_text=gettext_lazy("One step a line, as you would tell it to a new assistant."))
    dose = Words(max_length=600, required=False)
    make_easier = Words(max_length=600, required=False)
    make_harder = Words(max_length=600, required=False)
    phases = some_of(PARTS_OF_RUN)
    risk = one_of(RISKS, initial="floor", help_text=gettext_lazy("Contact: the tip meets a wall or a box."))
    areas = some_of(AREAS, initial=["floor"])
    adult = one_of(ADULTS, initial="floor")
    poles = one_of(POLES, initial="any")
    slides = forms.BooleanField(required=False)
    steps = Numbers(required=False, help_text=gettext_lazy("Such as 6, 8. Left empty when standing."))
    last_landing = forms.IntegerField(
        min_value=0, max_value=20, initial=0, help_text=gettext_lazy("0 is take-off; 3 for a drop alone.")
    )
    starts_lowered = forms.BooleanField(required=False)
    unit = one_of(UNITS, initial="rep")
    places = forms.IntegerField(min_value=1, max_value=60, initial=6)
    seconds_a_turn = forms.IntegerField(min_value=1, max_value=900, initial=8)
    least_turns = forms.IntegerField(min_value=1, max_value=60, initial=8)
    short = Words(max_length=SHORT_LENGTH, required=False, help_text=gettext_lazy("Left empty: made from the name."))

    def __init__(self, *args: Any, effects: tuple[str, ...] = (), **options: Any) -> None:
        """effects: what another gate, or other steps, would mean for athletes who have reps here."""
        self.effects = effects
        super().__init__(*args, **options)

    # ── from the catalogue into the form ──

    def first_values(self) -> dict[str, Any]:
        gate, needs = [*_texts(self.old.get("gate")), "", ""], _texts(self.old.get("needs"))
        surfaces = self.old.get("surfaces")
        rules = surfaces if isinstance(surfaces, dict) else {} if self.item else {"smooth-floor": "good"}
        values = {f"surface_{surface}": said for surface, said in rules.items()}
        values |= {"gate_1": gate[0], "gate_2": gate[1], "easier": needs[0] if needs else "", "needs": needs[1:]}
        values["checkpoints"] = [offer["checkpoint"] for offer in self._offers()]
        for offer in self._offers():
            values |= {f"good_{offer['checkpoint']}": offer.get("good", "")}
            values |= {f"from_{offer['checkpoint']}": offer.get("from_steps")}
        return {**self.old, **values}

    def _offers(self) -> list[dict[str, Any]]:
        offers = self.old.get("checkpoints")
        return [offer for offer in offers if isinstance(offer, dict)] if isinstance(offers, list) else []

    def add_fields(self) -> None:
        self.fields["stage"] = one_item(self.items, Kind.STAGE, none="—")
        needs = _texts(self.old.get("needs"))
        drills = [choice for choice in items_to_choose(self.items, Kind.DRILL, needs) if choice[0] != self.key]
        self._choose("easier", drills, _("Easier drill"), _("The drill to go back to, and the first that it needs."))
        others = _("Other drills that must be open before.")
        self.fields["needs"] = some_of(dict(drills), required=False, label=_("Needs also"), help_text=others)
        self._choose("entry_drill", drills, None, _("Contact drills only: the one that must be settled."))
        self._watched()
        for surface, said in SURFACES.items():
            label = _("On %(surface)s") % {"surface": said}
            verdicts = [("", _("not for it")), *((str(one), words) for one, words in VERDICTS.items())]
            self.fields[f"surface_{surface}"] = forms.ChoiceField(choices=verdicts, required=False, label=label)
        texts = dict(items_to_choose(self.items, Kind.SAFETY))
        self.fields["safety"] = some_of(texts, required=False)
        self.fields["load"] = one_item(self.items, Kind.LOAD_CLASS, required=False, none=_("no load"))
        self.fields["family"] = forms.ChoiceField(choices=self._families(), required=False)

    def _choose(self, name: str, choices: list[tuple[str, Any]], label: Any, hint: str) -> None:
        self.fields[name] = forms.ChoiceField(
            choices=[("", _("none")), *choices], required=False, label=label or FIELDS[name], help_text=hint
        )

    def _watched(self) -> None:
        keep = [offer["checkpoint"] for offer in self._offers()]
        known = dict(items_to_choose(self.items, Kind.CHECKPOINT, keep))
        self.fields["checkpoints"] = some_of(known, required=False)
        self.fields["checkpoints"].choices = self._by_phase(known)
        for n, hint in ((1, _("One thing, or two that are seen from one place.")), (2, "")):
            self.fields[f"gate_{n}"] = forms.ChoiceField(
                choices=[("", _("none")), *self._by_phase(known)],
                required=False,
                label=_("Decides about a good rep, %(number)d") % {"number": n},
                help_text=hint,
            )
        self._new_checkpoint()
        for key in keep:
            name = {"checkpoint": known[key]}
            self.fields[f"good_{key}"] = Words(
                max_length=600, rows=2, required=False, label=_("Good here: %(checkpoint)s") % name
            )
            self.fields[f"from_{key}"] = forms.IntegerField(
                min_value=0, max_value=30, required=False, label=_("%(checkpoint)s only from so many steps") % name
            )
        if self.effects:
            self.fields["sure"] = forms.BooleanField(
                required=False,
                label=_("Change what decides, or the steps, although athletes have reps here"),
                help_text=" ".join(self.effects),
            )

    def _by_phase(self, known: dict[str, Any]) -> list[tuple[Any, list[tuple[str, Any]]]]:
        groups: dict[str, list[tuple[str, Any]]] = {}
        for key, name in known.items():
            phase = of_kind(self.items, Kind.CHECKPOINT)[key]["phase"]
            groups.setdefault(str(PHASES[Phase(phase)]), []).append((key, name))
        return list(groups.items())

    def _new_checkpoint(self) -> None:
        may_be = {"required": False}
        self.fields[f"{NEW}name"] = Words(max_length=80, label=_("Name of the checkpoint"), **may_be)
        self.fields[f"{NEW}phase"] = one_of(PHASES, label=_("Its part of the run"), **may_be)
        self.fields[f"{NEW}good"] = Words(max_length=600, rows=2, label=FIELDS["good"], **may_be)
        self.fields[f"{NEW}seen_from"] = some_of(PLACES, label=FIELDS["seen_from"], **may_be)
        self.fields[f"{NEW}gate"] = forms.BooleanField(label=_("It decides about a good rep"), **may_be)
        self.add_rows(NEW, required_first=False)

    def _families(self) -> list[tuple[str, Any]]:
        """Drills that share stations already, each family under the name of its first drill."""
        first: dict[str, str] = {}
        for key, fields in of_kind(self.items, Kind.DRILL).items():
            if key != self.key:
                first.setdefault(str(fields["family"]), label_of(fields))
        own = str(self.old.get("family") or "")
        alone = [] if own in first else [(own, OWN)]
        return [*(alone or [("", OWN)]), *first.items()]

    # ── from the form into the catalogue ──

    def new_key(self) -> str:
        taken = {*of_kind(self.items, Kind.DRILL)}
        return key_from(str(self.cleaned_data.get("name") or ""), taken, otherwise="drill")

    def covers(self) -> set[str]:
        return {*self.fields, "checkpoints", "gate", "surfaces", "needs"}

    PLAIN = ("name", "stage", "purpose", "setup", "how", "dose", "make_easier", "make_harder", "areas", "adult",
             "places", "unit", "risk", "phases", "steps", "last_landing", "starts_lowered", "entry_drill",
             "seconds_a_turn", "least_turns", "load", "poles", "slides", "safety", "retired")  # fmt: skip

    def own_fields(self) -> Fields:
        said = self.cleaned_data
        fields = {name: value for name, value in super().own_fields().items() if name in self.PLAIN}
        name = said.get("name") or ""
        fields["family"] = said.get("family") or self.key or self.new_key()
        if not self["short"].errors and (said.get("short") or name):
            fields["short"] = said.get("short") or shortened(name, SHORT_LENGTH)
        surfaces = {str(one): said[f"surface_{one}"] for one in SURFACES if said.get(f"surface_{one}")}
        gate = _once([said.get("gate_1"), said.get("gate_2"), self._new_key() if said.get(f"{NEW}gate") else ""])
        needs = _once([said.get("easier"), *(said.get("needs") or []), said.get("entry_drill")])
        lists: Fields = {"surfaces": surfaces, "gate": list(gate), "needs": list(needs)}
        lists["checkpoints"] = list(self._offered(gate))
        return {**fields, **{name: value for name, value in lists.items() if value}}

    def _offered(self, gate: list[str]) -> list[dict[str, Any]]:
        """What is watched, the gate among it, in the order of the run; a new checkpoint comes last."""
        said = self.cleaned_data
        before = [offer["checkpoint"] for offer in self._offers()]
        run = list(of_kind(self.items, Kind.CHECKPOINT))
        keys = _once([*(said.get("checkpoints") or []), *gate, self._new_key()])
        stays = [key for key in before if key in keys]
        line = run if stays == [key for key in run if key in stays] else [*stays, *run]
        ordered = _once([*(key for key in line if key in keys), *keys])
        return [self._offer(key) for key in ordered]

    def _offer(self, key: str) -> dict[str, Any]:
        good, from_steps = self.cleaned_data.get(f"good_{key}"), self.cleaned_data.get(f"from_{key}")
        return {
            "checkpoint": key,
            **({"good": good} if good else {}),
            **({"from_steps": from_steps} if from_steps else {}),
        }

    # ── the new checkpoint ──

    def _new_key(self) -> str:
        """Key of the checkpoint that is made along, empty where none is."""
        said = self.cleaned_data
        rows = [f"fault_{n}_{part}" for n in range(1, NEW_FAULTS + 1) for part in ("name", "cues", "remedy")]
        parts = ("name", "phase", "good", "seen_from", "gate", *rows)
        touched = [said.get(f"{NEW}{part}") or self.errors.get(f"{NEW}{part}") for part in parts]
        if not any(touched):
            return ""
        return key_from(str(said.get(f"{NEW}name") or ""), of_kind(self.items, Kind.CHECKPOINT), "checkpoint")

    def others(self, item: ItemId) -> dict[ItemId, Fields]:
        gates = {"gate": "gate_1", "surfaces": "surface_smooth-floor", "needs": "easier"}
        self.places[item] = gates
        key = self._new_key()
        if not key:
            return {}
        made, said = ItemId(Kind.CHECKPOINT, key), self.cleaned_data
        fields: Fields = {"key": key}
        for part in ("name", "phase", "good", "seen_from"):
            if said.get(f"{NEW}{part}"):
                fields[part] = said[f"{NEW}{part}"]
        phase = said.get(f"{NEW}phase")
        self.places[made] = {part: f"{NEW}{part}" for part in ("name", "phase", "good", "seen_from")}
        self.places[made] |= {"faults": f"{NEW}fault_1_name", "cells": f"{NEW}phase"}
        return {made: {**fields, **cells_of(None, phase)}, **self.rows(NEW, key)}

    def clean(self) -> dict[str, Any]:
        said = super().clean()
        new = next(
            (fields for item, fields in self.result.items() if item.kind is self.kind and item.key == self.key), {}
        )
        if self.item and self.effects and not said.get("sure") and changes.judges_otherwise(self.old, new):
            self.add_error("sure", _("Tick this if that is what you want, or put the old ones back."))
        return said

    def sections(self):  # type: ignore[no-untyped-def]
        fresh = (f"{NEW}name", f"{NEW}phase", f"{NEW}good", f"{NEW}seen_from", f"{NEW}gate", *self.row_names(NEW))
        here = tuple(name for name in self.fields if name.startswith(("good_", "from_")))
        filled = {3: fresh, 4: here}
        self.sections_ = tuple((title, hint, filled.get(at, names)) for at, (title, hint, names) in enumerate(SECTIONS))
        return super().sections()


def _texts(value: Any) -> list[str]:
    return [part for part in value if isinstance(part, str)] if isinstance(value, list) else []


def _once(keys: list[str | None]) -> list[str]:
    return [key for key in dict.fromkeys(keys) if key]
