"""Changing the catalogue. Apart from the pages of drills, whose keys may be any word."""

from django.urls import path

from drills.core.items import Kind
from drills.views import edit, files, pages
from drills.views.edit import EDITORS, Editor, edit_page, new_page

ELSEWHERE = {Kind.FAULT: "checkpoints/<slug:checkpoint>/faults/new/", Kind.DRILL: "drills/new/"}


def _new_path(editor: Editor) -> str:
    return ELSEWHERE.get(editor.kind, f"{_folder(editor)}/new/")


def _folder(editor: Editor) -> str:
    return str(editor.kind).replace("_", "-")


def _id(editor: Editor) -> str:
    return f"<{'int' if editor.kind is Kind.LINK else 'slug'}:{editor.arg}>"


urlpatterns = [
    path("", pages.catalogue, name="catalogue"),
    path("cover/", edit.edit_cover, name="edit_cover"),
    path("import/", files.import_catalogue, name="import_catalogue"),
    path("import/<uuid:draft>/", files.catalogue_draft, name="catalogue_draft"),
    path("export/", files.export_catalogue, name="export_catalogue"),
    path("edition/", files.catalogue_edition, name="catalogue_edition"),
    *(path(_new_path(editor), new_page(editor), name=f"new_{editor.arg}") for editor in EDITORS),
    *(
        path(f"{_folder(editor)}/{_id(editor)}/edit/", edit_page(editor), name=f"edit_{editor.arg}")
        for editor in EDITORS
        if editor.kind is not Kind.DRILL
    ),
]
