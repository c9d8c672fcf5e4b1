"""Long forms in groups: what is always asked stands open, the rest folds away until it is needed."""

from dataclasses import dataclass

from django import forms
from django.utils.functional import Promise


@dataclass(frozen=True, slots=True)
class Group:
    """label: "" for the fields that stand open. open: something in it is filled in, or wrong."""

    label: str
    fields: list[forms.BoundField]
    open: bool


class Grouped:
    """A form that names its groups: a label and the fields below it. Fields that no group names come first."""

    GROUPS: tuple[tuple[str | Promise, tuple[str, ...]], ...] = ()

    def groups(self: "Grouped | forms.Form") -> list[Group]:
        assert isinstance(self, forms.Form) and isinstance(self, Grouped)
        named = {name for _label, names in self.GROUPS for name in names}
        first = [field for field in self.visible_fields() if field.name not in named]
        rest = [(str(label), [self[name] for name in names if name in self.fields]) for label, names in self.GROUPS]
        folded = [Group(label, fields, any(map(_is_said, fields))) for label, fields in rest if fields]
        return [Group("", first, True), *folded]


def _is_said(field: forms.BoundField) -> bool:
    return bool(field.errors) or field.value() not in (None, "", [])
