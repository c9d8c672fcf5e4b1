"""Forms of the smaller kinds of item."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from drills.core.items import COVER, Kind
from drills.forms.base import ItemForm
from drills.forms.fields import Words, items_to_choose, one_item, one_of, some_of
from drills.words import ADULTS, AREAS, POLES


class CoverForm(ItemForm):
    kind, placed, keyed = Kind.COVER, False, False
    name = Words(max_length=80)
    version = forms.IntegerField(help_text=_("Raise it by one with every edition that you hand on to others."))

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{**options, "item": COVER})


class StageForm(ItemForm):
    kind = Kind.STAGE
    number = forms.IntegerField(min_value=0, max_value=30, help_text=_("Its place in the progression, from 0."))
    name = Words(max_length=80)
    about = Words(max_length=600, required=False, rows=2)


class LoadClassForm(ItemForm):
    kind = Kind.LOAD_CLASS
    name = Words(max_length=80)
    reps_a_practice = forms.IntegerField(min_value=1, max_value=200)
    reps_a_practice_under_14 = forms.IntegerField(min_value=1, max_value=200)
    days_a_week = forms.IntegerField(min_value=1, max_value=7, required=False)
    rest_days = forms.IntegerField(min_value=0, max_value=6, initial=0)
    common_practice = forms.BooleanField(required=False)


class SafetyForm(ItemForm):
    kind = Kind.SAFETY
    title = Words(max_length=80)
    text = Words(max_length=600, rows=4, help_text=_("The page adds the sentence about whose rules come first."))
    common_practice = forms.BooleanField(required=False)


class AdjustmentForm(ItemForm):
    kind = Kind.ADJUSTMENT
    name = Words(max_length=80)
    how = Words(max_length=600, rows=3)


class CauseForm(ItemForm):
    kind = Kind.CAUSE
    name = Words(max_length=80)
    about = Words(max_length=600, rows=2, required=False)


class ActivityForm(ItemForm):
    kind = Kind.ACTIVITY
    name = Words(max_length=80)
    about = Words(max_length=600, rows=3)
    minutes = forms.IntegerField(min_value=1, max_value=720, initial=15)
    areas = some_of(AREAS)
    adult = one_of(ADULTS, initial="floor")
    places = forms.IntegerField(min_value=1, max_value=60, required=False, help_text=_("Left empty: everyone at once."))
    poles = one_of(POLES, initial="none")
    needs_clearance = forms.BooleanField(required=False)
    job = forms.BooleanField(required=False)

    def add_fields(self) -> None:
        self.fields["load"] = one_item(self.items, Kind.LOAD_CLASS, required=False)
        texts = dict(items_to_choose(self.items, Kind.SAFETY))
        if texts:
            self.fields["safety"] = some_of(texts, required=False)


__all__ = ["ActivityForm", "AdjustmentForm", "CauseForm", "CoverForm", "LoadClassForm", "SafetyForm", "StageForm"]
