"""What the buttons of decisions and answers send, what narrows lists down, what an athlete answers after a practice."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from athletes.core.standing import DecisionKind
from athletes.forms.fields import DayInput
from athletes.models import Decision
from club.members import Member
from sessions.boards.models import SelfCheck
from sessions.boards.queries import narrowing
from sessions.boards.queries.looks import ACTS, ATTACH

PLACES = ("week", "cell", "athlete", "start over")
"""The pages on which decisions are made, to come back to."""


class StartOverForm(forms.Form):
    """act: start them over, or take back what was started over a moment ago. athlete: ids among those offered."""

    act = forms.ChoiceField(choices=[("start", "start"), ("undo", "undo")])
    athlete = forms.TypedMultipleChoiceField(coerce=UUID, required=False)

    def __init__(self, data: Any, offered: Iterable[UUID]) -> None:
        super().__init__(data)
        self.fields["athlete"].choices = [(str(one), str(one)) for one in offered]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        if said.get("act") == "start" and not said.get("athlete") and "athlete" not in self.errors:
            self.add_error("athlete", _("Tick at least one name. Nothing was changed."))
        return said


class DecideForm(forms.Form):
    """kind: what is decided (a placement has its own page); back: where the button stood."""

    kind = forms.TypedChoiceField(
        choices=[(kind.value, kind.value) for kind in DecisionKind if kind is not DecisionKind.PLACE],
        coerce=DecisionKind,
    )
    back = forms.ChoiceField(choices=[(place, place) for place in PLACES], required=False)


class SelfCheckForm(forms.Form):
    feel = forms.ChoiceField(choices=SelfCheck.Feel.choices)
    words = forms.CharField(max_length=200, required=False, strip=True)


class SettleForm(forms.Form):
    """What a coach answers to something that waits. rep: of a look that is attached to one."""

    act = forms.ChoiceField(
        choices=[(act, act) for act in ACTS],
        error_messages={
            "required": gettext_lazy("Say what is to become of it."),
            "invalid_choice": gettext_lazy("This is no answer that can be given here. Nothing was changed."),
        },
    )
    rep = forms.UUIDField(
        required=False, error_messages={"invalid": gettext_lazy("Choose a rep of this practice at the same drill.")}
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("act") == ATTACH and not cleaned.get("rep") and not self.has_error("rep"):
            self.add_error("rep", _("Choose the rep that it belongs to."))
        elif cleaned.get("act") != ATTACH:
            cleaned["rep"] = None
        return cleaned


ALL = gettext_lazy("all")


class DecisionsForm(forms.Form):
    """What narrows the list of decisions down; empty fields do not. What the member may not see is no choice."""

    athlete = forms.ModelChoiceField(
        None, required=False, label=gettext_lazy("Athlete"), empty_label=gettext_lazy("all")
    )
    drill = forms.ModelChoiceField(
        None, required=False, label=gettext_lazy("Drill"), to_field_name="key", empty_label=gettext_lazy("all")
    )
    kind = forms.ChoiceField(required=False, label=gettext_lazy("What"))
    side = forms.ChoiceField(required=False, label=gettext_lazy("Advice"))

    def __init__(self, member: Member, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields = self.fields
        fields["athlete"].queryset = narrowing.athletes(member)
        fields["drill"].queryset = narrowing.drills(member)
        kinds = [(kind.value, kind.label) for kind in Decision.Kind if kind is not Decision.Kind.TAKEN_BACK]
        fields["kind"].choices = [("", _("all")), *kinds]
        fields["side"].choices = [("", _("all")), *Decision.Side.choices]


class TableForm(forms.Form):
    """table: which one; since, until: the first and last day, each may stay empty."""

    table = forms.ChoiceField(
        label=gettext_lazy("Table"),
        choices=[
            ("reps", gettext_lazy("Reps, with what was watched and seen")),
            ("attendance", gettext_lazy("Attendance")),
            ("decisions", gettext_lazy("Decisions")),
        ],
        widget=forms.RadioSelect,
    )
    since = forms.DateField(label=gettext_lazy("From"), required=False, widget=DayInput)
    until = forms.DateField(label=gettext_lazy("Until"), required=False, widget=DayInput)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        first, last = said.get("since"), said.get("until")
        if first and last and last < first:
            self.add_error("until", _("The last day lies before the first. Nothing was taken out."))
        return said
