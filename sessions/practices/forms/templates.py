"""Plans kept under a name."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from club.members import Member
from sessions.practices.forms.inputs import CHOOSE
from sessions.practices.models import PlanTemplate
from sessions.practices.queries.board import Board
from sessions.practices.queries.templates import templates


class TemplateNameForm(forms.Form):
    name = forms.CharField(label=gettext_lazy("Name of the template"), max_length=60)

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())


class ApplyTemplateForm(forms.Form):
    template = forms.ModelChoiceField(None, label=gettext_lazy("Template"), empty_label=CHOOSE)

    def __init__(self, member: Member, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["template"].queryset = templates(member)


@dataclass(frozen=True, slots=True)
class TemplateForms:
    """keep: where there is something to keep; apply: where the club has templates."""

    keep: TemplateNameForm | None
    apply: ApplyTemplateForm | None


def template_forms(member: Member, board: Board) -> TemplateForms:
    some = templates(member).exists()
    return TemplateForms(TemplateNameForm() if board.columns else None, ApplyTemplateForm(member) if some else None)


def rename_form(template: PlanTemplate, data: Any = None) -> TemplateNameForm:
    return TemplateNameForm(data, initial={"name": template.name}, auto_id=f"id_{template.pk}_%s")
