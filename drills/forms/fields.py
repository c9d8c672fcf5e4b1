"""Fields that read what the catalogue holds: lines of text, choices of its enumerations and of its items."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from drills.core.items import ItemId, Items, Kind, of_kind
from drills.core.problems import FORBIDDEN_IN_TEXT
from drills.words import FIELDS, label_of

NOBODY = gettext_lazy("none")


class Words(forms.CharField):
    """One line or a paragraph. Line breaks of a paragraph become blanks: a text of the catalogue is one line."""

    def __init__(self, *, rows: int = 0, **options: Any) -> None:
        widget = forms.Textarea(attrs={"rows": rows}) if rows else forms.TextInput()
        super().__init__(widget=widget, **options)

    def to_python(self, value: Any) -> str:
        return " ".join(super().to_python(value).split())

    def run_validators(self, value: Any) -> None:
        super().run_validators(value)
        if FORBIDDEN_IN_TEXT.search(value or ""):
            raise ValidationError(_("Contains a control character. Type the text anew instead of pasting it."))


class Lines(forms.CharField):
    """A list of texts, one a line; empty lines do not count."""

    def __init__(self, *, rows: int = 4, **options: Any) -> None:
        super().__init__(widget=forms.Textarea(attrs={"rows": rows}), **options)

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(value) if isinstance(value, list) else value

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        return [line for line in (" ".join(part.split()) for part in text.splitlines()) if line]


class Numbers(forms.CharField):
    """Whole numbers, parted by commas or blanks."""

    def prepare_value(self, value: Any) -> Any:
        return ", ".join(map(str, value)) if isinstance(value, list) else value

    def clean(self, value: Any) -> Any:
        parts = super().clean(value).replace(",", " ").split()
        if not all(part.isascii() and part.isdigit() and len(part) <= 4 for part in parts):
            raise ValidationError(_("Write whole numbers, such as 6, 8, 10."))
        return [int(part) for part in parts]


def one_of(words: Mapping[Any, Any], **options: Any) -> forms.ChoiceField:
    """A value of an enumeration; where it may stay empty, the first choice says so."""
    first = [] if options.get("required", True) and "initial" in options else [("", "—")]
    return forms.ChoiceField(choices=[*first, *((str(value), said) for value, said in words.items())], **options)


def some_of(words: Mapping[Any, Any], **options: Any) -> forms.MultipleChoiceField:
    choices = [(str(value), said) for value, said in words.items()]
    return forms.MultipleChoiceField(choices=choices, widget=forms.CheckboxSelectMultiple, **options)


Choices = list[tuple[str, Any]]


def items_to_choose(items: Items, kind: Kind, keep: Iterable[str] = ()) -> Choices:
    """Key and name of each item in use; retired ones only where they are chosen already."""
    kept = set(keep)
    return [
        (key, label_of(fields))
        for key, fields in of_kind(items, kind).items()
        if key in kept or fields.get("retired") is not True
    ]


def one_item(items: Items, kind: Kind, keep: Iterable[str] = (), none: Any = NOBODY, **options: Any) -> forms.Field:
    return forms.ChoiceField(choices=[("", none), *items_to_choose(items, kind, keep)], **options)


def remedies_to_choose(items: Items, keep: Iterable[str] = ()) -> Choices:
    """`drill:key` and `adjustment:key`, in two groups."""
    kept = {value.partition(":")[2] for value in keep}
    groups = ((Kind.ADJUSTMENT, "adjustment", _("An adjustment")), (Kind.DRILL, "drill", _("Another drill")))
    return [
        ("", NOBODY),
        *(
            (said, [(f"{word}:{key}", name) for key, name in items_to_choose(items, kind, kept)])
            for kind, word, said in groups
        ),
    ]


def remedy_of(choice: str, note: str = "") -> dict[str, Any]:
    word, _colon, key = choice.partition(":")
    return {word: key, **({"note": note} if note else {})}


def choice_of(remedy: Any) -> str:
    """The choice that stands for a remedy as it is stored."""
    if not isinstance(remedy, dict):
        return ""
    return next((f"{word}:{remedy[word]}" for word in ("drill", "adjustment") if remedy.get(word)), "")


def labelled(fields: dict[str, forms.Field]) -> None:
    """Gives each field without a label the catalogue's words for it."""
    for name, field in fields.items():
        if field.label is None and name in FIELDS:
            field.label = FIELDS[name]


def at(kind: Kind, key: str) -> ItemId:
    return ItemId(kind, key)
