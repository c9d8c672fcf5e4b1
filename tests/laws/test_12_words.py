"""Law 12: every string goes through gettext.

A language is generated on the spot: whatever passes through gettext comes back in wide letters, and every word that the
database holds is written in Greek. Plain English on a page then never went through gettext, and fails.
"""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

import pytest
from django.apps import apps
from django.db import models
from django.utils import translation

from club.core.parts_samples import SAMPLES
from club.scope import ClubOwned
from sessions.practices.models import PlanTemplate
from tests.club.asking import Browsers, places
from tests.club.catalogue_cases import in_their_own_words
from tests.club.people_cases import cells_in_words
from tests.club.summary_cases import names_in_words
from tests.club.world import World, make_world
from tests.laws.source import scripts

VIEWERS = ("head", "assistant", "helper", "nandi", "parent", "officer")
KEPT = re.compile(r"(%\([a-z_]+\)[sd]|%[sd%]|\{[a-z_]*\}|<[^>]+>|&[a-z]+;)")
LATIN = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
WIDE = str.maketrans({letter: chr(ord(letter) - ord("!") + 0xFF01) for letter in LATIN})
GREEK = str.maketrans(LATIN, "ΑΒΨΔΕΦΓΗΙΞΚΛΜΝΟΠΘΡΣΤΥΩΧΧΥΖαβψδεφγηιξκλμνοπθρστυωχχυζ")
# The name of the program, units, and the address fields of a QR code or link shown as they are.
OURS = re.compile(r"Sixmark|GPL|https?://\S+|Europe/London|\b(?:m|kg|s|px)\b")
INVENTED = set(SAMPLES.names)  # on the page of parts
PLAIN = re.compile(r"[A-Za-z]{2,}")
SPOKEN = {"aria-label", "alt", "title", "placeholder", "aria-description"}


def wide(message: str) -> str:
    return "".join(part if KEPT.fullmatch(part) else part.translate(WIDE) for part in KEPT.split(message))


@pytest.fixture
def generated_language(monkeypatch: pytest.MonkeyPatch) -> None:
    def plural(one: str, many: str, number: int) -> str:
        return wide(one if number == 1 else many)

    found = translation._trans
    monkeypatch.setattr(found, "gettext", lambda message: wide(str(message)))
    monkeypatch.setattr(found, "pgettext", lambda context, message: wide(str(message)))
    monkeypatch.setattr(found, "ngettext", plural)
    monkeypatch.setattr(found, "npgettext", lambda context, one, many, number: plural(one, many, number))


@pytest.fixture
def greek_world(db: None) -> Iterator[World]:
    world = make_world()
    for model in apps.get_models():
        if issubclass(model, ClubOwned) or model._meta.label in {"club.Club", "club.Person"}:
            _into_greek(model)
    for row in PlanTemplate.objects.all():
        row.layout["spots"] = [{**spot, "name": spot["name"].translate(GREEK)} for spot in row.layout["spots"]]
        row.save()
    in_their_own_words(world)
    cells_in_words(lambda cell: cell.translate(GREEK))
    names_in_words(lambda name: name.translate(GREEK))
    yield world


def _into_greek(model: type[models.Model]) -> None:
    """Rewrites what people typed. Keys, choices, zones and hashes are no words of theirs."""
    skipped = {
        "password",
        "subject_kind",
        "subject_id",
        "slug",
        "key",
        "family",
        "zone",
        "language",
        "digest",
        "token_hash",
        "content_hash",
        "queue",
        "kind",
    }
    skipped |= {"source"}  # a whole file, read by its field names
    typed = [
        field.name
        for field in model._meta.concrete_fields
        if isinstance(field, models.CharField | models.TextField) and not field.choices and field.name not in skipped
    ]
    of_lists = {field.name for field in model._meta.concrete_fields if isinstance(field, models.JSONField)}
    lists = [name for name in ("cues", "how") if name in of_lists]
    if model._meta.label == "reps.Event":
        return
    for row in model._default_manager.all():
        values: dict[str, Any] = {name: (getattr(row, name) or "").translate(GREEK) or None for name in typed}
        values |= {name: [text.translate(GREEK) for text in getattr(row, name)] for name in lists}
        changed = {name: value for name, value in values.items() if value is not None}
        if changed:
            model._base_manager.filter(pk=row.pk).update(**changed)


class Words(HTMLParser):
    """Collects what a reader sees or hears: text outside of script and style, and spoken attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.silent = 0
        self.said: list[str] = []

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self.silent += tag in {"script", "style"}
        self.said += [value or "" for name, value in attributes if name in SPOKEN]

    def handle_endtag(self, tag: str) -> None:
        self.silent -= tag in {"script", "style"}

    def handle_data(self, text: str) -> None:
        if not self.silent:
            self.said.append(text)


def plain_english(page: str) -> set[str]:
    parser = Words()
    parser.feed(page)
    texts = (OURS.sub("", text).strip() for text in parser.said)
    return {text for text in texts if PLAIN.search(text)} - INVENTED


def test_no_page_says_anything_in_plain_english(greek_world: World, generated_language: None) -> None:
    browsers, found, pages = Browsers(greek_world), {}, 0
    for viewer in VIEWERS:
        for place in places(greek_world):
            if "GET" not in place.address.door.methods or place.url.startswith("/api/"):
                continue
            if place.address.name == "catalogue_edition":  # shows the words of the shipped file beside the club's
                continue
            answer = browsers.ask(viewer, "GET", place.url)
            if answer["Content-Type"].startswith("text/html") and answer.content:
                pages += 1
                for text in plain_english(answer.content.decode()):
                    found.setdefault(text[:80], f"{place.address.name} as {viewer}")
    assert pages > 150
    assert not found, "\n".join(f"{text!r} at {where}" for text, where in found.items())


def test_plain_english_would_be_seen(generated_language: None) -> None:
    assert plain_english("<p>Good reps</p>") == {"Good reps"}
    assert plain_english(f'<p aria-label="Close">{translation.gettext("Good reps")}</p>') == {"Close"}


@pytest.mark.parametrize("path", scripts(), ids=lambda path: path.name)
def test_a_script_holds_no_sentence_of_its_own(path: Any) -> None:
    """Scripts take their words from the page, which took them from gettext."""
    code = re.sub(r"//[^\n]*|/\*.*?\*/", "", path.read_text(encoding="utf-8"), flags=re.S)
    literals = re.findall(r'"([^"\n]*)"|\'([^\'\n]*)\'|`([^`]*)`', code)
    said = [next(filter(None, parts), "") for parts in literals]
    sentences = [text for text in said if re.search(r"[A-Z][a-z]+ [a-z]+|(?:[a-z]+ ){3}[a-z]+", text)]
    assert [text for text in sentences if not re.search(r"[\[\]#>:=]|^use strict$", text)] == []
