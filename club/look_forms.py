"""How Django draws forms here, and what the page of parts shows of that."""

from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.forms.renderers import TemplatesSetting
from django.utils.translation import gettext_lazy as _

from club.core.parts_samples import REPS_IN_ALL, SAMPLES, Samples


class LookRenderer(TemplatesSetting):
    """Draws ``{{ form }}`` and ``{{ field.as_field_group }}`` with the club's own templates."""

    form_template_name = "club/parts/form.html"
    field_template_name = "club/parts/field.html"


class PartsForm(forms.Form):
    """Every kind of field, for the page of parts; nothing is ever saved from it."""

    hold_m = forms.DecimalField(
        label=_("Hold, m"), help_text=_("From the tip to the top hand."), min_value=1, max_value=5
    )
    practice_on = forms.DateField(label=_("Day"), widget=forms.DateInput(attrs={"type": "date"}))
    hand = forms.ChoiceField(
        label=_("Top hand"), choices=[("right", _("right")), ("left", _("left"))], widget=forms.RadioSelect
    )
    surface = forms.ChoiceField(
        label=_("Surface"), choices=[("hall", _("smooth floor")), ("track", _("synthetic track"))]
    )
    note = forms.CharField(label=_("Note"), required=False, widget=forms.Textarea(attrs={"rows": 2}))
    checked = forms.BooleanField(label=_("The tip slides here: tried by hand"))


def parts_context() -> dict[str, Any]:
    """Everything that ``club/parts_page.html`` asks for; a form sent empty shows how errors are said."""
    samples: Samples = SAMPLES
    return {
        "samples": samples,
        "form": PartsForm(initial={"hold_m": "3.05"}),
        "wrong_form": PartsForm({"hold_m": "9"}, auto_id="wrong_%s"),
        "page": Paginator(range(REPS_IN_ALL), 20).page(2),
    }
