"""What is typed about people, venues and the club."""

from datetime import date
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.core.validators import RegexValidator
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from club import queries
from club.actions import RIGHTS
from club.grouped import Grouped
from club.members import Member
from club.models import Area, Club, Consent, Guardianship, Membership, Person, Venue

PLAIN_PHONE = RegexValidator(r"^\+?[\d\s()./\-]{5,}$", gettext_lazy("Digits, spaces and a + at the start only."))


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class PersonForm(Grouped, forms.Form):
    given_name = forms.CharField(label=gettext_lazy("Given name"), max_length=80)
    family_name = forms.CharField(label=gettext_lazy("Family name"), max_length=80, required=False)
    birth_date = forms.DateField(label=gettext_lazy("Date of birth"), widget=DayInput, required=False)
    email = forms.EmailField(label=gettext_lazy("E-mail"), required=False)
    phone = forms.CharField(
        label=gettext_lazy("Phone"),
        max_length=40,
        required=False,
        validators=[PLAIN_PHONE],
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
    )
    language = forms.ChoiceField(label=gettext_lazy("Language"), choices=settings.LANGUAGES)

    FIELDS = ("given_name", "family_name", "birth_date", "email", "phone", "language")
    GROUPS = ((gettext_lazy("Phone, e-mail and language"), ("phone", "email", "language")),)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_birth_date(self) -> date | None:
        born: date | None = self.cleaned_data["birth_date"]
        if born and not date(1900, 1, 1) <= born <= self.today:
            raise forms.ValidationError(_("Nobody here was born then."))
        return born

    def values(self) -> dict[str, Any]:
        """Of a valid form: the fields of a person."""
        return {name: self.cleaned_data[name] for name in PersonForm.FIELDS}


def person_initial(person: Person) -> dict[str, Any]:
    return {name: getattr(person, name) for name in PersonForm.FIELDS}


class RolesForm(forms.Form):
    roles = forms.MultipleChoiceField(
        label=gettext_lazy("Here as"), choices=Membership.RoleChoice.choices, widget=forms.CheckboxSelectMultiple
    )
    adult_level = forms.ChoiceField(
        label=gettext_lazy("Level"),
        required=False,
        choices=[("", gettext_lazy("none")), *Membership.AdultLevel.choices],
        help_text=gettext_lazy("Of head coaches and assistants: the stations they may run. Without one they run none."),
    )


class NewPersonForm(RolesForm, PersonForm):
    field_order = [*PersonForm.FIELDS, "roles", "adult_level"]


class TieForm(forms.Form):
    """A guardian's rights for one child. child: None for a tie that is there already."""

    guardian = forms.ModelChoiceField(None, label=gettext_lazy("Guardian"))
    rights = forms.MultipleChoiceField(
        label=gettext_lazy("May"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=[
            (right, Guardianship._meta.get_field(right).verbose_name)  # type: ignore[union-attr]
            for right in RIGHTS
        ],
    )
    barred = forms.BooleanField(
        label=gettext_lazy("Barred"),
        required=False,
        help_text=gettext_lazy("Takes every right away; the name stands on the child’s emergency card."),
    )
    until = forms.DateField(
        label=gettext_lazy("Until"),
        required=False,
        widget=DayInput,
        help_text=gettext_lazy("The last day on which these rights hold. Empty: as long as both are here."),
    )

    lift = forms.BooleanField(
        label=gettext_lazy("I lift the bar on purpose"),
        required=False,
        help_text=gettext_lazy("Without this tick the bar stays, whatever is ticked above."),
    )

    def __init__(
        self, member: Member, child: Person | None, today: date, *args: Any, barred: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        if not barred:
            del self.fields["lift"]
        if child is None:
            del self.fields["guardian"]
        else:
            self.fields["guardian"].queryset = queries.might_guard(member, child, today)  # type: ignore[attr-defined]


def tie_initial(tie: Guardianship) -> dict[str, Any]:
    rights = [right for right in RIGHTS if getattr(tie, right)]
    return {"rights": rights, "barred": tie.barred, "until": tie.until}


class BarForm(forms.Form):
    name = forms.CharField(label=gettext_lazy("Name"), max_length=120)
    note = forms.CharField(label=gettext_lazy("What to look out for"), max_length=200, required=False)
    other = forms.BooleanField(label=gettext_lazy("This is somebody else of that name"), required=False)

    def __init__(self, member: Member, child: Person, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.tie = queries.tied_by_name(member, child, str(self.data.get("name", ""))) if self.is_bound else None
        if self.tie is None:
            del self.fields["other"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if self.tie and not cleaned.pop("other", False):
            said = _(
                "%(name)s is tied to this child as a guardian, and would keep every right. Bar the tie itself under "
                "“Guardians”, or tick that this is somebody else of that name."
            )
            self.add_error("name", said % {"name": self.tie.guardian.full_name})
        return cleaned


class ConsentForm(forms.Form):
    kind = forms.ChoiceField(label=gettext_lazy("To"), choices=Consent.Kind.choices, widget=forms.RadioSelect)
    given_by = forms.ModelChoiceField(None, label=gettext_lazy("Given by"))
    given_on = forms.DateField(label=gettext_lazy("On"), widget=DayInput)

    def __init__(self, member: Member, person: Person, today: date, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, initial={"given_on": today}, **kwargs)
        self.today = today
        self.fields["given_by"].queryset = queries.may_consent_for(member, person, today)  # type: ignore[attr-defined]

    def clean_given_on(self) -> date:
        day: date = self.cleaned_data["given_on"]
        if day > self.today:
            raise forms.ValidationError(_("This day has not come yet."))
        return day


class ClubForm(forms.Form):
    name = forms.CharField(label=gettext_lazy("Name"), max_length=120)
    zone = forms.CharField(
        label=gettext_lazy("Time zone"),
        max_length=60,
        help_text=gettext_lazy("As the time zone database spells it: a continent, a slash, a city."),
    )
    units = forms.ChoiceField(label=gettext_lazy("Units"), choices=Club.Units.choices, widget=forms.RadioSelect)

    def clean_zone(self) -> str:
        zone: str = self.cleaned_data["zone"]
        if zone not in available_timezones():
            raise forms.ValidationError(_("There is no time zone of this name."))
        return zone


class VenueForm(forms.Form):
    """A venue with the emergency card that hangs there."""

    FIELDS = ("name", "address", "defibrillator", "first_aid", "who_calls", "who_meets")

    def __init__(self, member: Member, venue: Venue | None, *args: Any, **kwargs: Any) -> None:
        initial = {name: getattr(venue, name) for name in self.FIELDS} if venue else {}
        super().__init__(*args, initial=initial, **kwargs)
        self.member, self.venue = member, venue
        for name in self.FIELDS:
            found = Venue._meta.get_field(name)
            self.fields[name] = forms.CharField(
                label=capfirst(str(found.verbose_name)),  # type: ignore[union-attr]
                max_length=found.max_length,  # type: ignore[union-attr]
                required=name == "name",
            )

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        if queries.venues(self.member).filter(name=name).exclude(pk=self.venue and self.venue.pk).exists():
            raise forms.ValidationError(_("There is a venue of this name."))
        return name


class AreaForm(forms.Form):
    name = forms.CharField(label=gettext_lazy("Name"), max_length=60)
    kind = forms.ChoiceField(label=gettext_lazy("Kind"), choices=Area.Kind.choices)
    surface = forms.ChoiceField(label=gettext_lazy("Surface"), choices=Area.Surface.choices)
    places = forms.IntegerField(label=gettext_lazy("Room for"), min_value=1, max_value=60, initial=4)

    def __init__(self, member: Member, venue: Venue, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.member, self.venue = member, venue

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        if queries.areas(self.member, self.venue).filter(name=name).exists():
            raise forms.ValidationError(_("This venue has an area of this name."))
        return name


class AccountForm(forms.Form):
    sign_in_name = forms.CharField(
        label=gettext_lazy("Sign-in name"),
        max_length=80,
        required=False,
        validators=[RegexValidator(r"^[\w.@+-]{3,80}$", gettext_lazy("Letters, digits and . @ + - _, three or more."))],
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "off", "spellcheck": "false"}),
        help_text=gettext_lazy("With a password you can then sign in on any device, without a link."),
    )
    language = forms.ChoiceField(label=gettext_lazy("Language"), choices=settings.LANGUAGES)
    now = forms.CharField(
        label=gettext_lazy("Password you have now"),
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    password = forms.CharField(
        label=gettext_lazy("New password"),
        required=False,
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=gettext_lazy("Four words that only you would put together are good. Empty: it stays as it is."),
    )
    again = forms.CharField(
        label=gettext_lazy("New password once more"),
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, person: Person, *args: Any, **kwargs: Any) -> None:
        initial = {"sign_in_name": person.sign_in_name or "", "language": person.language}
        super().__init__(*args, initial=initial, **kwargs)
        self.person = person
        if not person.password or not person.has_usable_password():  # Django calls an empty one usable
            del self.fields["now"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        password, name = cleaned.get("password"), cleaned.get("sign_in_name")
        renamed = name is not None and name != (self.person.sign_in_name or "")
        if (password or renamed) and "now" in self.fields and not self.person.check_password(cleaned.get("now") or ""):
            self.add_error("now", _("This is not the password you have now."))
        if password and password != cleaned.get("again"):
            self.add_error("again", _("The two new passwords differ."))
        elif password:
            self._check(password)
        if password and not name:
            self.add_error("sign_in_name", _("A password needs a sign-in name beside it."))
        return cleaned

    def _check(self, password: str) -> None:
        try:
            validate_password(password, self.person)
        except forms.ValidationError as error:
            self.add_error("password", error)


class ScreenForm(forms.Form):
    """Who sees this screen. hidden: children see it now, so that showing more asks for the password.

    asks: whether there is a password to ask for; without one it stays hidden.
    """

    who = forms.ChoiceField(
        label=gettext_lazy("Seen by"),
        choices=[
            ("children", gettext_lazy("Children too: hide readiness, rates, advice and profiles")),
            ("unsaid", gettext_lazy("Coaches, until a station is opened on it")),
            ("coaches", gettext_lazy("Coaches alone, at a station too: it is my own device")),
        ],
        widget=forms.RadioSelect,
    )
    password = forms.CharField(
        label=gettext_lazy("Your password"),
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, person: Person, hidden: bool, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person, self.hidden = person, hidden
        self.asks = bool(person.password) and person.has_usable_password()
        if not hidden or not self.asks:
            del self.fields["password"]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if self.hidden and said.get("who") not in (None, "children"):
            if not self.asks:
                self.add_error("who", _("To show them here again takes a password, and you have none yet."))
            elif not self.person.check_password(said.get("password") or ""):
                self.add_error("password", _("This is not your password. It stays hidden."))
        return said
