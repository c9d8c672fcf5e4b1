"""Editing: one way for every kind of item. The form shows what is wrong; an action stores the whole catalogue."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from club.doors import page
from club.members import Member
from club.roles import Permission
from drills import actions, changes, forms, queries
from drills.core.items import COVER, Fields, ItemId, Items, Kind, named_by, of_kind, stamp, take_out
from drills.forms import ItemForm
from drills.models import (
    Activity,
    Adjustment,
    CatalogueItem,
    Cause,
    Checkpoint,
    Drill,
    Fault,
    Link,
    LoadClass,
    SafetyText,
    Stage,
)
from drills.words import changed_sentence, item_words, misfit_words, names_of

REFUSED = 422


@dataclass(frozen=True, slots=True)
class Editor:
    """How one kind is edited. arg: name of the id in the address; new_ and edit_ with it are the pages' names."""

    kind: Kind
    model: type[CatalogueItem] | type[Link]
    form: type[ItemForm]
    arg: str


EDITORS = (
    Editor(Kind.STAGE, Stage, forms.StageForm, "stage"),
    Editor(Kind.LOAD_CLASS, LoadClass, forms.LoadClassForm, "load_class"),
    Editor(Kind.SAFETY, SafetyText, forms.SafetyForm, "safety_text"),
    Editor(Kind.ADJUSTMENT, Adjustment, forms.AdjustmentForm, "adjustment"),
    Editor(Kind.CHECKPOINT, Checkpoint, forms.CheckpointForm, "checkpoint"),
    Editor(Kind.FAULT, Fault, forms.FaultForm, "fault"),
    Editor(Kind.CAUSE, Cause, forms.CauseForm, "cause"),
    Editor(Kind.LINK, Link, forms.LinkForm, "catalogue_link"),
    Editor(Kind.DRILL, Drill, forms.DrillForm, "drill"),
    Editor(Kind.ACTIVITY, Activity, forms.ActivityForm, "activity"),
)
BY_KIND = {editor.kind: editor for editor in EDITORS}


def new_page(editor: Editor) -> Callable[..., HttpResponse]:
    if editor.kind is Kind.FAULT:

        @page(Permission.CATALOGUE_EDIT, "GET", "POST", checkpoint=Checkpoint)
        def new_fault(request: HttpRequest, member: Member, checkpoint: Checkpoint) -> HttpResponse:
            return _edit(request, member, editor, None, checkpoint=checkpoint.key)

        return new_fault

    @page(Permission.CATALOGUE_EDIT, "GET", "POST")
    def new(request: HttpRequest, member: Member) -> HttpResponse:
        return _edit(request, member, editor, None)

    return new


def edit_page(editor: Editor) -> Callable[..., HttpResponse]:
    @page(Permission.CATALOGUE_EDIT, "GET", "POST", **{editor.arg: editor.model})
    def edit(request: HttpRequest, member: Member, **found: Any) -> HttpResponse:
        row = found[editor.arg]
        if editor.kind is not Kind.DRILL:
            return _edit(request, member, editor, queries.item_id(row))
        offered = partial(changes.offered, member, row)
        return _edit(request, member, editor, queries.item_id(row), offered, effects=changes.effects(member, row))

    return edit


@page(Permission.CATALOGUE_EDIT, "GET", "POST")
def edit_cover(request: HttpRequest, member: Member) -> HttpResponse:
    return _edit(request, member, Editor(Kind.COVER, Stage, forms.CoverForm, "cover"), COVER)


def _edit(
    request: HttpRequest,
    member: Member,
    editor: Editor,
    item: ItemId | None,
    offered: Callable[[], str] = lambda: "",
    **more: Any,
) -> HttpResponse:
    """offered: the page to come after a drill that is judged otherwise, "" for its own."""
    items = queries.items(member)
    if item and item not in items:
        raise Http404
    if item and request.POST.get("act") == "remove":
        return _remove(request, member, editor, items, item, **more)
    form = editor.form(request.POST if request.method == "POST" else None, items=items, item=item, **more)
    if request.method == "POST" and form.is_valid():
        try:
            changed = actions.store_items(by=member, items=form.result, read=stamp(items))
        except actions.CatalogueChanged:
            form.add_error(None, CHANGED_MEANWHILE())
        else:
            messages.success(request, changed_sentence((one.item for one in changed), names_of(items, form.result)))
            judged = item and changes.judges_otherwise(items[item], form.result[item])
            after = offered() if judged else ""
            return redirect(after or _address(member, editor, item or _new_item(items, form.result, editor.kind)))
    return _show(request, member, editor, form)


def CHANGED_MEANWHILE() -> str:
    return _("Somebody else changed the catalogue at this moment. What you typed is still here: save once more.")


def _new_item(items: Items, result: Items, kind: Kind) -> ItemId | None:
    return next((item for item in result if item.kind is kind and item not in items), None)


def _address(member: Member, editor: Editor, item: ItemId | None) -> str:
    """Where one wants to be after saving: at the drill's page, or at the part of the catalogue that was changed."""
    if editor.kind is Kind.DRILL and item:
        return reverse("drill", args=[member.club.slug, item.key])
    return f"{reverse('catalogue', args=[member.club.slug])}#{editor.kind}"


def _show(request: HttpRequest, member: Member, editor: Editor, form: ItemForm, **more: Any) -> HttpResponse:
    item = form.item
    context = {
        "form": form,
        "kind": editor.kind,
        "item_words": item_words(item, form.names) if item else "",
        "leaning": [item_words(one, form.names) for one in named_by(form.items, item)] if item else [],
        "used": item in queries.used(member) if item else False,
        "faults": _faults(form.items, item) if item else [],
        "removable": item is not None and item is not COVER and form.old.get("retired") is not True,
        **more,
    }
    refused = bool(form.is_bound and not form.is_valid()) or "refused" in more
    return render(request, "drills/edit.html", context, status=REFUSED if refused else 200)


def _faults(items: Items, checkpoint: ItemId) -> list[Fields]:
    return [fields for fields in of_kind(items, Kind.FAULT).values() if fields["checkpoint"] == checkpoint.key]


def _remove(
    request: HttpRequest, member: Member, editor: Editor, items: Items, item: ItemId, **more: Any
) -> HttpResponse:
    """What hangs on it goes along: a checkpoint's faults, a fault's and a cause's links."""
    gone = [item, *_hanging_on(items, item)]
    names = names_of(items)
    try:
        after = take_out(items, gone, queries.used(member))
        changed = actions.store_items(by=member, items=after, read=stamp(items))
    except actions.CatalogueRefused as refused:
        reasons = list(dict.fromkeys(misfit_words(one, names) for one in refused.misfits))
        return _show(request, member, editor, editor.form(items=items, item=item, **more), refused=reasons)
    except actions.CatalogueChanged:
        form = editor.form(items=items, item=item, **more)
        return _show(request, member, editor, form, refused=[CHANGED_MEANWHILE()])
    messages.success(request, changed_sentence((one.item for one in changed), names))
    return redirect(f"{reverse('catalogue', args=[member.club.slug])}#{editor.kind}")


HANGING = {Kind.CHECKPOINT: (Kind.FAULT,), Kind.FAULT: (Kind.LINK,), Kind.CAUSE: (Kind.LINK,)}


def _hanging_on(items: Items, item: ItemId) -> list[ItemId]:
    found = [one for one in named_by(items, item) if one.kind in HANGING.get(item.kind, ())]
    return [*found, *(further for one in found for further in _hanging_on(items, one))]
