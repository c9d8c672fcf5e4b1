"""What the buttons of decisions and answers send, and what an athlete answers after a practice."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from athletes.core.standing import DecisionKind
from sessions.boards.models import SelfCheck
from sessions.boards.queries.looks import ACTS, ATTACH

PLACES = ("week", "cell", "athlete")
"""The pages on which decisions are made, to come back to."""


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
