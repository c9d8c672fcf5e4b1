"""Profile, squads, notes, placements, restrictions, measurements, the emergency card."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from athletes import words
from athletes.forms.fields import DayInput, LengthField, MassField, OpenChoice
from athletes.models import Athlete, AthleteNote, EmergencyCard, Measurement, Squad
from athletes.queries import profile as queries
from club.grouped import Grouped
from club.members import Member

STEPS = [(n, str(n)) for n in range(3, 9)]


class AthleteForm(forms.Form):
    hand = forms.ChoiceField(
        label=gettext_lazy("Hand"),
        choices=Athlete.Hand.choices,
        widget=forms.RadioSelect,
        help_text=gettext_lazy("Right-handed: right hand on top, take-off from the left foot. Left-handed: mirrored."),
    )
    squads = forms.ModelMultipleChoiceField(
        None, label=gettext_lazy("Squads"), required=False, widget=forms.CheckboxSelectMultiple
    )
    drop_steps = forms.TypedChoiceField(
        label=gettext_lazy("Steps of the drop"),
        choices=STEPS,
        coerce=int,
        initial=3,
        help_text=gettext_lazy("Three for most; up to eight in long runs with a high carry."),
    )

    def __init__(self, member: Member, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["squads"].queryset = queries.squads(member)  # type: ignore[attr-defined]


def athlete_initial(athlete: Athlete) -> dict[str, Any]:
    return {"hand": athlete.hand, "squads": list(athlete.squads.all()), "drop_steps": athlete.drop_steps}


class SquadForm(forms.Form):
    name = forms.CharField(label=gettext_lazy("Name"), max_length=60)

    def __init__(self, member: Member, squad: Squad | None, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.member, self.squad = member, squad

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        same = queries.squads(self.member).filter(name__iexact=name)
        if same.exclude(pk=self.squad and self.squad.pk).exists():
            raise forms.ValidationError(_("There is a squad of this name."))
        return name


class NoteForm(forms.Form):
    text = forms.CharField(
        label=gettext_lazy("Note"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("Nothing medical: that belongs on the emergency card or in a restriction."),
    )
    reader = forms.ChoiceField(
        label=gettext_lazy("Who may read it"),
        choices=AthleteNote.Reader.choices,
        initial=AthleteNote.Reader.COACHES,
        widget=forms.RadioSelect,
    )


class PlaceForm(forms.Form):
    drill = forms.ModelChoiceField(None, label=gettext_lazy("Drill"), to_field_name="key")
    seen = forms.CharField(
        label=gettext_lazy("What was seen"),
        max_length=200,
        help_text=gettext_lazy("What you saw them do, and where. It stays on record with your name."),
    )

    def __init__(self, member: Member, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["drill"].queryset = queries.drills_in_use(member)  # type: ignore[attr-defined]


# --- restrictions --------------------------------------------------------------------------------


class _Dated(forms.Form):
    """``ends_on`` not before ``starts_on``."""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        starts, ends = cleaned.get("starts_on"), cleaned.get("ends_on")
        if starts and ends and ends < starts:
            self.add_error("ends_on", _("The last day comes before the first."))
        return cleaned


class RestrictForm(_Dated):
    what = forms.CharField(
        label=gettext_lazy("What they must not do"),
        max_length=160,
        help_text=gettext_lazy("Every coach reads this. Keep the reason out of it."),
    )
    excludes = forms.MultipleChoiceField(
        label=gettext_lazy("Never planned for them"),
        choices=words.RISKS.items(),
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy(
            "What is riskier goes with it: without running there is no wall, no box and no jumping."
        ),
    )
    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=gettext_lazy("Only head coaches read this."),
    )
    starts_on = forms.DateField(label=gettext_lazy("From"), widget=DayInput)
    ends_on = forms.DateField(label=gettext_lazy("Until"), widget=DayInput, required=False)
    needs_clearance = forms.BooleanField(
        label=gettext_lazy("A head injury is suspected: only a written clearance lifts it"), required=False
    )


class ReportForm(forms.Form):
    """A guardian's: how much, until when; two taps and one to send."""

    use_required_attribute = False

    much = OpenChoice(
        label=gettext_lazy("What must not happen"),
        choices=[(key, label) for key, (label, _risks) in words.REPORTS.items()],
        widget=forms.RadioSelect,
    )
    days = OpenChoice(
        label=gettext_lazy("For how long"),
        widget=forms.RadioSelect,
        initial="",
        choices=[
            ("", gettext_lazy("until I say otherwise")),
            ("0", gettext_lazy("today only")),
            ("6", gettext_lazy("one week")),
            ("20", gettext_lazy("three weeks")),
        ],
    )
    head = forms.BooleanField(
        label=gettext_lazy("A knock to the head. No practice until a doctor has cleared it in writing."), required=False
    )
    reason = forms.CharField(
        label=gettext_lazy("Why"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=gettext_lazy("Only head coaches read this."),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not cleaned.get("much") and not cleaned.get("head") and "much" not in self.errors:
            self.add_error("much", _("Choose one of these."))
        return cleaned

    def values(self, today: date) -> dict[str, Any]:
        """Of a valid form, for ``actions.restrictions.report``."""
        cleaned = self.cleaned_data
        label, excludes = words.REPORTS["all" if cleaned["head"] else cleaned["much"]]
        ends = today + timedelta(days=int(cleaned["days"])) if cleaned["days"] else None
        return {
            "what": str(label),
            "excludes": list(excludes),
            "starts_on": today,
            "ends_on": ends,
            "reason": cleaned["reason"],
            "head": cleaned["head"],
        }


class AnswerForm(forms.Form):
    ends_on = forms.DateField(
        label=gettext_lazy("Until"),
        widget=DayInput,
        required=False,
        help_text=gettext_lazy("Empty: until further notice."),
    )

    def __init__(self, starts_on: date, needs_clearance: bool, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.starts_on = starts_on
        if needs_clearance:  # it has no last day: only the recorded clearance ends it
            del self.fields["ends_on"]

    def clean_ends_on(self) -> date | None:
        ends: date | None = self.cleaned_data["ends_on"]
        if ends and ends < self.starts_on:
            raise forms.ValidationError(_("The last day comes before the first."))
        return ends


class LiftForm(forms.Form):
    clearance_by = forms.CharField(label=gettext_lazy("Who wrote the clearance"), max_length=120)
    clearance_on = forms.DateField(label=gettext_lazy("Date of the clearance"), widget=DayInput)

    def __init__(self, needs_clearance: bool, today: date, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        for field in self.fields.values():
            field.required = needs_clearance

    def clean_clearance_on(self) -> date | None:
        day: date | None = self.cleaned_data["clearance_on"]
        if day and day > self.today:
            raise forms.ValidationError(_("This day has not come yet."))
        return day


# --- body ----------------------------------------------------------------------------------------


class MeasurementsForm(Grouped, forms.Form):
    """All kinds at once; empty ones are not measured today."""

    GROUPS = (
        (gettext_lazy("Height and reach"), tuple(kind for kind in Measurement.Kind if kind not in Measurement.MASSES)),
    )

    on = forms.DateField(label=gettext_lazy("Day"), widget=DayInput)

    def __init__(self, member: Member, today: date, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, initial={"on": today}, **kwargs)
        self.today = today
        for kind in Measurement.Kind:
            label = capfirst(str(kind.label))
            if kind in Measurement.MASSES:
                self.fields[kind.value] = MassField(member.club, "15", "250", label=label, required=False)
            else:
                self.fields[kind.value] = LengthField(member.club, "0.5", "3.2", label=label, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("on") and cleaned["on"] > self.today:
            self.add_error("on", _("This day has not come yet."))
        if not self.errors and not any(cleaned.get(kind) for kind in Measurement.Kind.values):
            raise forms.ValidationError(_("Nothing was measured."))
        return cleaned


class CardForm(forms.Form):
    """own: the athlete's, who takes words off only on purpose, and not without being asked."""

    def __init__(self, card: EmergencyCard | None, own: bool, *args: Any, **kwargs: Any) -> None:
        self.before = {name: getattr(card, name) for name in EmergencyCard.FIELDS} if card else {}
        super().__init__(*args, initial=self.before, **kwargs)
        for name in EmergencyCard.FIELDS:
            found = EmergencyCard._meta.get_field(name)
            self.fields[name] = forms.CharField(
                label=capfirst(str(found.verbose_name)),  # type: ignore[union-attr]
                max_length=found.max_length,  # type: ignore[union-attr]
                required=False,
                widget=forms.Textarea(attrs={"rows": 2}),
            )
        if own and any(self.before.values()):
            self.fields["sure"] = forms.BooleanField(
                label=_("I take something off on purpose. My guardians and the adult in charge see what stood there."),
                required=False,
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "sure" in self.fields and not cleaned.get("sure"):
            for name, stood in self.before.items():
                if stood and not cleaned.get(name) and name not in self.errors:
                    said = _("“%(stood)s” stood here. Write it back, or tick below that you take it off on purpose.")
                    self.add_error(name, said % {"stood": stood})
        return cleaned

    def words(self) -> dict[str, str]:
        """Of a valid form, for ``actions.body.keep_card``."""
        return {name: self.cleaned_data[name] for name in EmergencyCard.FIELDS}
