"""A roster: the file, then what its columns mean."""

from datetime import date
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from athletes import words
from athletes.core.roster.columns import HEADER_SEARCH, MEANINGS, Row, What
from athletes.core.roster.values import DateOrder
from athletes.forms.fields import DayInput, OpenChoice
from athletes.queries.roster import MEASURED, Column
from athletes.roster_files import MOST_BYTES, FileReason, FileRefused, read_file

YES, NO = "yes", "no"


class RosterFileForm(forms.Form):
    file = forms.FileField(
        label=gettext_lazy("File"),
        allow_empty_file=True,
        help_text=gettext_lazy("CSV or XLSX, up to 500 children and 1 MB. One row a child; headings above."),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.xlsx"}),
    )

    rows: list[Row]

    def clean_file(self) -> UploadedFile:
        file: UploadedFile = self.cleaned_data["file"]
        if (file.size or 0) > MOST_BYTES:
            raise forms.ValidationError(words.file_words(FileReason.TOO_LARGE))
        try:
            self.rows = read_file(file.read())
        except FileRefused as refused:
            raise forms.ValidationError(words.file_words(refused.reason, refused.line)) from refused
        return file


class ColumnsForm(forms.Form):
    """One choice a column, and how dates, names and bare numbers are to be read."""

    use_required_attribute = False

    header = forms.TypedChoiceField(
        label=gettext_lazy("Row of the headings"),
        coerce=int,
        choices=[(n, str(n + 1)) for n in range(HEADER_SEARCH)],
    )
    date_order = OpenChoice(
        label=gettext_lazy("In dates as 03/04/2010"),
        widget=forms.RadioSelect,
        choices=[
            ("", gettext_lazy("the file itself shows it")),
            (DateOrder.DAY_FIRST.value, gettext_lazy("the day comes first: 3 April")),
            (DateOrder.MONTH_FIRST.value, gettext_lazy("the month comes first: March 4")),
        ],
    )
    family_first = forms.ChoiceField(
        label=gettext_lazy("Whole names"),
        widget=forms.RadioSelect,
        choices=[(NO, gettext_lazy("given name first")), (YES, gettext_lazy("family name first"))],
    )
    imperial = forms.ChoiceField(
        label=gettext_lazy("Numbers without a unit"),
        widget=forms.RadioSelect,
        choices=[
            (NO, gettext_lazy("metric: metres or centimetres, kilograms")),
            (YES, gettext_lazy("pounds; lengths always with their unit")),
        ],
    )

    measured_on = forms.DateField(
        label=gettext_lazy("Day on which heights and reaches were measured"),
        required=False,
        widget=DayInput,
        help_text=gettext_lazy("Needed where a column holds them: they count from that day."),
    )

    def __init__(self, columns: list[Column], choices: dict[str, Any], today: date, *args: Any, **kwargs: Any) -> None:
        initial = {
            "measured_on": choices.get("measured_on"),
            "header": choices["header"],
            "date_order": choices.get("date_order") or "",
            "family_first": YES if choices.get("family_first") else NO,
            "imperial": YES if choices.get("imperial") else NO,
        }
        super().__init__(*args, initial=initial, **kwargs)
        self.columns, self.today = columns, today
        self.fields["measured_on"].says_when_needed = True  # type: ignore[attr-defined]
        meanings = [("", _("leave out")), *((one.key, words.column_words(one.key)) for one in MEANINGS)]
        for column in columns:
            said = choices["columns"][column.number] if column.number < len(choices["columns"]) else ""
            self.fields[self.name(column)] = OpenChoice(
                label=column.heading or _("column %(number)d") % {"number": column.number + 1},
                help_text=" · ".join(column.samples),
                choices=meanings,
                initial=said,
            )

    @staticmethod
    def name(column: Column) -> str:
        return f"column{column.number}"

    def column_fields(self) -> list[Any]:
        return [self[self.name(column)] for column in self.columns]

    def other_fields(self) -> list[Any]:
        return [self[name] for name in ("header", "date_order", "measured_on", "family_first", "imperial")]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        keys = [cleaned.get(self.name(column), "") for column in self.columns]
        for column, key in zip(self.columns, keys, strict=True):
            if key and keys.count(key) > 1:
                self.add_error(self.name(column), _("Two columns cannot mean the same."))
        if not {str(What.NAME), str(What.GIVEN)} & set(keys):
            raise forms.ValidationError(_("One column has to hold the child’s name."))
        if set(map(str, MEASURED)) & set(keys) and not cleaned.get("measured_on") and "measured_on" not in self.errors:
            self.add_error("measured_on", _("Say when they were measured, or leave those columns out."))
        return cleaned

    def clean_measured_on(self) -> date | None:
        day: date | None = self.cleaned_data["measured_on"]
        if day and not date(1990, 1, 1) <= day <= self.today:
            raise forms.ValidationError(_("Nobody here was measured then."))
        return day

    def choices(self) -> dict[str, Any]:
        """Of a valid form, as a draft stores them."""
        cleaned = self.cleaned_data
        return {
            "header": cleaned["header"],
            "columns": [cleaned[self.name(column)] for column in self.columns],
            "date_order": cleaned["date_order"] or None,
            "measured_on": cleaned["measured_on"].isoformat() if cleaned["measured_on"] else None,
            "family_first": cleaned["family_first"] == YES,
            "imperial": cleaned["imperial"] == YES,
        }
