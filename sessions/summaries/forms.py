"""What the head coach adds to a summary, or takes out of it."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from sessions.summaries.core.never import Never, found
from sessions.summaries.models import Summary
from sessions.summaries.words import Names

MOST_LETTERS = 600
REFUSED: dict[Never, str | Promise] = {
    Never.PERCENT: gettext_lazy("No percentages and no rates: say what changed in words."),
    Never.FAULT: gettext_lazy("No faults and no mistakes: say what goes well, or what comes next."),
    Never.BEHIND: gettext_lazy("Nobody is behind or stuck, and nobody is compared: say “we try something else”."),
    Never.RATING: gettext_lazy("No body weight and no pole rating: poles go by their tags."),
    Never.INJURY: gettext_lazy("Not in writing: about an injury a coach phones."),
    Never.PROMISE: gettext_lazy("No date and no height is promised."),
    Never.ALONE: gettext_lazy("No work with a pole at home: only with a coach of the club."),
    Never.NAME: gettext_lazy("Another child of the club is named. Leave the name out."),
}


class EditForm(forms.Form):
    """own_words: what is never said to parents is refused, with the reason. keep: checkpoints that stay."""

    own_words = forms.CharField(
        label=gettext_lazy("In your own words"),
        help_text=gettext_lazy("Stands first, as you write it. Leave it empty if the rest says enough."),
        max_length=MOST_LETTERS,
        required=False,
        widget=forms.Textarea(attrs={"rows": 5, "maxlength": MOST_LETTERS}),
    )
    keep = forms.MultipleChoiceField(
        label=gettext_lazy("What got better"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, summary: Summary, other_names: Iterable[str], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.other_names = tuple(other_names)
        points = Names.from_row(summary.names).points
        keys = [one.checkpoint for one in summary.value().better]
        self.fields["keep"].choices = [(key, points[key].name if key in points else key) for key in keys]
        if not keys:
            del self.fields["keep"]
        self.keys = keys

    def clean_own_words(self) -> str:
        text = self.cleaned_data["own_words"].strip()
        if wrong := found(text, self.other_names):
            raise forms.ValidationError([forms.ValidationError(REFUSED[kind]) for kind in wrong])
        return text

    @property
    def left_out(self) -> list[str]:
        """Checkpoints taken out: those that are not kept."""
        return [key for key in self.keys if key not in self.cleaned_data.get("keep", [])]


MOST_AT_ONCE = 200


class ChosenForm(forms.Form):
    """The summaries that a button is about: those that the page showed, and no others. ids: after ``is_valid``."""

    def __init__(self, sent: Iterable[str]) -> None:
        super().__init__({})
        self.sent = list(sent)
        self.ids: list[UUID] = []

    def clean(self) -> None:
        if not 1 <= len(self.sent) <= MOST_AT_ONCE:
            raise forms.ValidationError(_("No summary was chosen."))
        field = forms.UUIDField()
        self.ids = [field.clean(one) for one in self.sent]
