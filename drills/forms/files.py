"""The upload of a catalogue file. What is in it, the catalogue's own reading says."""

from django import forms
from django.utils.translation import gettext_lazy as _

from drills.core.yaml_text import MOST_BYTES


class ImportForm(forms.Form):
    file = forms.FileField(
        label=_("Catalogue file"),
        allow_empty_file=True,
        help_text=_("A YAML file as “Take out as a file” makes it, of at most 512 KiB. Nothing is changed yet."),
        widget=forms.ClearableFileInput(attrs={"accept": ".yaml,.yml,text/yaml"}),
    )

    def data_read(self) -> bytes:
        """One byte more than a catalogue may have, if there is more: the reading then says that it is too large."""
        return self.cleaned_data["file"].read(MOST_BYTES + 1)
