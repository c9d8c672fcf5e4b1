"""What is typed about a practice and its plan. What a rule forbids is refused by the actions, in the rule's words."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from club.clock import club_today
from club.members import Member
from club.models import Person
from sessions.practices.actions.calendar import MOST_AT_ONCE, Details
from sessions.practices.actions.plan import Put
from sessions.practices.core.clock import SkippedTime, instant, weekly
from sessions.practices.core.rules import fits
from sessions.practices.models import Practice
from sessions.practices.queries import calendar
from sessions.practices.queries.board import Board, Cell
from sessions.practices.queries.plan import areas_left, station_place

NO_STATION = "none"
CHOOSE = gettext_lazy("choose")


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class ClockInput(forms.TimeInput):
    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M")


class PracticeForm(forms.Form):
    day = forms.DateField(label=gettext_lazy("Day"), widget=DayInput)
    starts = forms.TimeField(label=gettext_lazy("From"), widget=ClockInput)
    ends = forms.TimeField(label=gettext_lazy("Until"), widget=ClockInput)
    venue = forms.ModelChoiceField(None, label=gettext_lazy("Venue"), empty_label=CHOOSE)
    squads = forms.ModelMultipleChoiceField(
        None,
        label=gettext_lazy("Squads"),
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("Who is expected."),
    )
    adults = forms.ModelMultipleChoiceField(
        None,
        label=gettext_lazy("Adults"),
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text=gettext_lazy("Two open a practice. With fewer, the plan takes floor drills only."),
    )
    focus = forms.ModelChoiceField(
        None, label=gettext_lazy("Focus"), required=False, empty_label=pgettext_lazy("focus", "none")
    )
    bring = forms.CharField(label=gettext_lazy("What to bring"), max_length=160, required=False)

    def __init__(self, member: Member, *args: Any, zone: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.member, self.zone = member, zone or member.club.zone
        self.fields["venue"].queryset = calendar.venues(member)
        self.fields["squads"].queryset = calendar.squads(member)
        self.fields["adults"].queryset = calendar.adults(member)
        self.fields["focus"].queryset = calendar.checkpoints(member)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        starts, ends = cleaned.get("starts"), cleaned.get("ends")
        if starts and ends and ends <= starts:
            self.add_error("ends", _("A practice ends after it starts, on the same day."))
        for name in ("starts", "ends"):
            if cleaned.get("day") and cleaned.get(name):
                self._check_clock(name, cleaned)
        return cleaned

    def _check_clock(self, name: str, cleaned: dict[str, Any]) -> None:
        try:
            instant(cleaned["day"], cleaned[name], self.zone)
        except SkippedTime:
            self.add_error(name, _("The clocks are put forward that day, and this time does not come. Choose another."))

    def details(self) -> Details:
        """Of a valid form."""
        cleaned = self.cleaned_data
        return Details(
            venue=cleaned["venue"],
            day=cleaned["day"],
            starts=cleaned["starts"],
            ends=cleaned["ends"],
            squads=tuple(cleaned["squads"]),
            adults=tuple(cleaned["adults"]),
            focus=cleaned["focus"],
            bring=cleaned["bring"],
        )


class NewPracticeForm(PracticeForm):
    until = forms.DateField(
        label=gettext_lazy("Repeat weekly until"),
        widget=DayInput,
        required=False,
        help_text=gettext_lazy("The same weekday and time, each week. Each practice can be changed by itself later."),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        day, until = cleaned.get("day"), cleaned.get("until")
        if day and day < club_today(self.member.club):
            self.add_error("day", _("This day is over."))
        if day and until:
            self._check_series(weekly(day, until), cleaned)
        return cleaned

    def _check_series(self, days: tuple[date, ...], cleaned: dict[str, Any]) -> None:
        if not days:
            self.add_error("until", _("The last day comes before the first."))
        elif len(days) > MOST_AT_ONCE:
            said = _("That makes %(count)d practices. At most %(most)d at once.")
            self.add_error("until", said % {"count": len(days), "most": MOST_AT_ONCE})
        else:
            for day in days[1:]:
                for name in ("starts", "ends"):
                    if cleaned.get(name) and not self.has_error(name):
                        self._check_clock(name, {**cleaned, "day": day})


def practice_initial(practice: Practice) -> dict[str, Any]:
    return {
        "day": practice.day,
        "starts": practice.starts,
        "ends": practice.ends,
        "venue": practice.venue_id,
        "squads": [squad.pk for squad in practice.squads.all()],
        "adults": [row.person_id for row in practice.adults.all()],
        "focus": practice.focus_id,
        "bring": practice.bring,
    }


class BlockForm(forms.Form):
    minutes = forms.IntegerField(label=gettext_lazy("Minutes"), min_value=1, max_value=240, initial=20)
    starts = forms.TimeField(
        label=gettext_lazy("From"),
        widget=ClockInput,
        required=False,
        help_text=gettext_lazy("Empty: after the last block."),
    )


class RunByField(forms.ModelChoiceField):
    """Adults with a level, and helpers."""

    def __init__(self) -> None:
        super().__init__(
            None, label=gettext_lazy("Who runs it"), required=False, empty_label=gettext_lazy("nobody yet")
        )

    def label_from_instance(self, person: Person) -> str:
        return person.full_name


class StationForm(forms.Form):
    area = forms.ModelChoiceField(None, label=gettext_lazy("Place"), empty_label=CHOOSE)
    run_by = RunByField()

    def __init__(self, member: Member, practice: Practice, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["area"].queryset = areas_left(member, practice)
        self.fields["run_by"].queryset = calendar.runners(member)


class StationAdultForm(forms.Form):
    run_by = RunByField()

    def __init__(self, member: Member, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["run_by"].queryset = calendar.runners(member)


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


class AdultForm(forms.Form):
    """Check-in and check-out of one adult."""

    IN, OUT = "in", "out"
    person = forms.ModelChoiceField(None)
    act = forms.ChoiceField(choices=[(IN, IN), (OUT, OUT)])

    def __init__(self, member: Member, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = calendar.adults(member)
