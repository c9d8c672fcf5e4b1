"""The form of one cell of a plan: who, and what they do."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from sessions.practices.actions.plan import Put
from sessions.practices.core.rules import fits
from sessions.practices.queries.board import Board, Cell
from sessions.practices.queries.plan import station_place

NO_STATION = "none"


class AssignForm(forms.Form):
    """The form of one cell: who, and what they do. Names come from the plan itself, so no other club's fit in."""

    block = forms.ChoiceField(widget=forms.HiddenInput)
    station = forms.ChoiceField(widget=forms.HiddenInput)
    work = forms.ChoiceField(label=gettext_lazy("What they do"))
    steps = forms.IntegerField(
        label=gettext_lazy("Steps of the run"),
        required=False,
        min_value=1,
        help_text=gettext_lazy("Where a drill has several."),
    )
    everyone = forms.BooleanField(label=gettext_lazy("Everyone without a place"), required=False)
    athletes = forms.MultipleChoiceField(
        label=gettext_lazy("Without a place in this block"), widget=forms.CheckboxSelectMultiple, required=False
    )
    moving = forms.MultipleChoiceField(
        label=gettext_lazy("Move here from another place"), widget=forms.CheckboxSelectMultiple, required=False
    )

    def __init__(self, board: Board, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.board = board
        names = [(str(athlete.pk), board.source.labels[athlete.pk]) for athlete in board.source.athletes]
        self.fields["block"].choices = [(str(block.pk), "") for block in board.source.blocks]
        self.fields["station"].choices = [(NO_STATION, ""), *((str(row.pk), "") for row in board.source.stations)]
        self.fields["athletes"].choices = self.fields["moving"].choices = names
        self.fields["work"].choices = self._works(None)

    @classmethod
    def for_cell(
        cls, board: Board, cell: Cell, data: Any = None, wish: Mapping[str, Any] | None = None
    ) -> "AssignForm":
        """The form with the names and drills that this cell has to offer. wish: what is chosen and ticked already."""
        at = str(cell.station.pk) if cell.station else NO_STATION
        first = cell.groups[0].chips[0].assignment if cell.groups else None
        chosen = wish or _same_again(first)
        form = cls(board, data, initial={"block": str(cell.block.pk), "station": at, **chosen})
        if data is None:
            form.fields["work"].choices = form._works(cell)
            form.offer(cell)
        return form

    def offer_again(self) -> None:
        """After a mistake: the cell's own names and drills, whatever was ticked staying ticked."""
        if self.cell:
            self.fields["work"].choices = self._works(self.cell)
            self.offer(self.cell)

    def offer(self, cell: Cell) -> None:
        """Sorts the names: who is free, and who would move."""
        board = self.board
        free = next(rest.idle for rest in board.rest.cells if rest.block.pk == cell.block.pk)
        here = {chip.athlete_id for group in cell.groups for chip in group.chips}
        elsewhere = [row for row in board.source.assignments if row.block_id == cell.block.pk]
        self.fields["athletes"].choices = [(str(chip.athlete_id), chip.label) for chip in free]
        self.fields["moving"].choices = [
            (str(row.athlete_id), f"{board.source.labels[row.athlete_id]}, {row.drill or row.activity}")
            for row in elsewhere
            if row.athlete_id not in here
        ]
        for name in ("moving", "everyone", "athletes"):
            if not self.fields["moving" if name == "moving" else "athletes"].choices:
                self.fields[name].widget = forms.MultipleHiddenInput()

    def _works(self, cell: Cell | None) -> list[Any]:
        place = station_place(cell.station) if cell and cell.station else None
        works = {work.key: work for work in self.board.plan.works if cell is None or fits(work, place)}
        groups: dict[str, list[tuple[str, str]]] = {}
        for drill in self.board.source.drills:
            if f"drill:{drill.key}" in works:
                label = _("%(drill)s, %(seconds)d s a turn") % {"drill": drill.name, "seconds": drill.seconds_a_turn}
                groups.setdefault(drill.stage.name, []).append((f"drill:{drill.key}", label))
        activities = [
            (f"activity:{a.key}", a.name) for a in self.board.source.activities if f"activity:{a.key}" in works
        ]
        return [("", _("choose")), *groups.items(), *([(_("Activities and jobs"), activities)] if activities else [])]

    @cached_property
    def cell(self) -> Cell | None:
        """The cell that was posted, even if the rest of the form is wrong."""
        block, station = self.data.get("block"), self.data.get("station", NO_STATION)
        return find_cell(self.board, block, station)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if self.cell and cleaned.get("everyone"):
            free = next(rest.idle for rest in self.board.rest.cells if rest.block.pk == self.cell.block.pk)
            cleaned["athletes"] = [str(chip.athlete_id) for chip in free]
        if not cleaned.get("athletes") and not cleaned.get("moving") and not self.has_error("athletes"):
            self.add_error("athletes", _("Choose who."))
        work = next((work for work in self.board.plan.works if work.key == cleaned.get("work")), None)
        if work:
            cleaned["steps"] = self._steps(work.steps, cleaned.get("steps"))
        return cleaned

    def _steps(self, offered: tuple[int, ...], said: int | None) -> int | None:
        if len(offered) < 2:
            return offered[0] if offered else None
        if said not in offered:
            listed = ", ".join(map(str, offered))
            self.add_error("steps", _("Say how many steps: %(steps)s.") % {"steps": listed})
        return said

    def put(self) -> Put:
        """Of a valid form."""
        cleaned, source = self.cleaned_data, self.board.source
        kind, key = cleaned["work"].split(":", 1)
        people = {str(athlete.pk): athlete for athlete in source.athletes}
        moving = set(cleaned["moving"])
        return Put(
            block=next(block for block in source.blocks if str(block.pk) == cleaned["block"]),
            station=next((row for row in source.stations if str(row.pk) == cleaned["station"]), None),
            athletes=tuple(people[pk] for pk in cleaned["athletes"] if pk not in moving),
            moving=tuple(people[pk] for pk in cleaned["moving"]),
            drill=next((row for row in source.drills if kind == "drill" and row.key == key), None),
            activity=next((row for row in source.activities if kind == "activity" and row.key == key), None),
            steps=cleaned["steps"],
        )


def _same_again(assignment: Any) -> dict[str, Any]:
    if assignment is None:
        return {}
    work = f"drill:{assignment.drill.key}" if assignment.drill else f"activity:{assignment.activity.key}"
    return {"work": work, "steps": assignment.steps}


def find_cell(board: Board, block: Any, station: Any) -> Cell | None:
    """The cell of a block's id and a station's id as text (``none``: no station)."""
    for row in (*board.rows, board.rest):
        at = str(row.station.pk) if row.station else NO_STATION
        for cell in row.cells:
            if at == station and str(cell.block.pk) == block:
                return cell
    return None
