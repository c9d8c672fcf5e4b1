"""What a decision's button sends, and what an athlete answers after a practice."""

from django import forms

from athletes.core.standing import DecisionKind
from sessions.boards.models import SelfCheck

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
