"""What a decision's button sends."""

from django import forms

from athletes.core.standing import DecisionKind

PLACES = ("week", "cell", "athlete")
"""The pages on which decisions are made, to come back to."""


class DecideForm(forms.Form):
    """kind: what is decided (a placement has its own page); back: where the button stood."""

    kind = forms.TypedChoiceField(
        choices=[(kind.value, kind.value) for kind in DecisionKind if kind is not DecisionKind.PLACE],
        coerce=DecisionKind,
    )
    back = forms.ChoiceField(choices=[(place, place) for place in PLACES], required=False)
