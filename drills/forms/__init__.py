"""Forms of the catalogue: one for each kind of item, and the upload of a file."""

from drills.forms.base import ItemForm
from drills.forms.checkpoint import CheckpointForm, FaultForm, LinkForm
from drills.forms.drill import DrillForm
from drills.forms.files import ImportForm
from drills.forms.parts import (
    ActivityForm,
    AdjustmentForm,
    CauseForm,
    CoverForm,
    LoadClassForm,
    SafetyForm,
    StageForm,
)

__all__ = [
    "ActivityForm",
    "AdjustmentForm",
    "CauseForm",
    "CheckpointForm",
    "CoverForm",
    "DrillForm",
    "FaultForm",
    "ImportForm",
    "ItemForm",
    "LinkForm",
    "LoadClassForm",
    "SafetyForm",
    "StageForm",
]
