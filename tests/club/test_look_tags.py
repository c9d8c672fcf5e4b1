import re
from html.parser import HTMLParser

import pytest
from django.template import Context, Engine, Template
from django.template.loader import render_to_string
from django.test import RequestFactory

from club.core.marks import tries_a_row
from club.core.run_strip import SIZES
from club.look_forms import PartsForm, parts_context
from club.templatetags import look


def drawn(source: str, **context: object) -> str:
    return Template("{% load look %}" + source).render(Context(context))


class Elements(HTMLParser):
    """All start tags with their attributes, in order."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


@pytest.fixture
def parts_page() -> str:
    request = RequestFactory().get("/parts/?squad=terns")
    return render_to_string("club/parts_page.html", parts_context(), request=request)


@pytest.mark.parametrize("size", SIZES)
def test_a_strip_with_a_label_is_a_named_picture(size):
    html = drawn('{% run_strip size=size lit="3" label="step 3" %}', size=size)
    assert 'role="img" aria-label="step 3"' in html
    assert "aria-hidden" not in html


def test_a_strip_without_a_label_is_hidden_from_screen_readers():
    html = drawn("{% run_strip %}")
    assert 'aria-hidden="true"' in html
    assert "role=" not in html


def test_a_label_cannot_break_out_of_its_attribute():
    html = drawn("{% run_strip label=label %}", label='"><script>x</script>')
    assert "<script" not in html


def test_places_may_be_words_numbers_or_lists():
    by_words = drawn('{% run_strip lit="plant contact" %}')
    assert by_words == drawn("{% run_strip lit=places %}", places=[3, 2, 1, "contact"])
    assert drawn("{% run_strip lit=3 flag=3 %}") == drawn('{% run_strip lit="3" flag="3" %}')


def test_a_left_hand_mirrors_the_soles_and_an_unknown_hand_is_refused():
    assert drawn('{% run_strip hand="left" %}') != drawn('{% run_strip hand="right" %}')
    with pytest.raises(ValueError):
        drawn('{% run_strip hand="both" %}')


def test_a_short_run_dashes_the_steps_it_does_not_have():
    html = drawn("{% run_strip steps=3 %}")
    assert html.count(' off"') == 4


def test_a_range_bar_says_advice_range_and_estimate():
    html = drawn('{% range_bar "settled" 0.71 0.83 0.93 %}')
    assert 'aria-label="Settled: likely range 71 to 93 %, estimate 83 %"' in html
    assert 'width="260" height="40"' in html


def test_before_the_first_rep_there_are_words_and_no_bar_and_no_figure():
    html = drawn('{% range_bar "no reps yet" %}')
    assert "No reps yet" in html
    assert 'class="rb' not in html and "%" not in html
    assert drawn('{% range_bar "no reps yet" label="" %}') == ""


@pytest.mark.parametrize("advice", ["settled", "keep_on", "easier drill", "no reps yet", "too little seen"])
def test_a_verdict_is_never_without_its_words(advice):
    html = drawn("{% verdict advice %}", advice=advice)
    assert re.sub("<[^>]+>", "", html) == advice.replace("_", " ").capitalize()


def test_a_verdict_may_carry_the_words_of_the_coach_s_act():
    assert drawn('{% verdict "settled" words %}', words="<b>Move on").endswith("&lt;b&gt;Move on</span>")


def test_reps_are_told_in_order():
    html = drawn("{% rep_dots reps %}", reps=["good", "faulty", "not_watched"])
    assert 'aria-label="3 reps in order: good, faulty, not watched"' in html
    assert re.findall(r'class="(good|faulty|unwatched)"', html) == ["good", "faulty", "unwatched"]
    assert drawn("{% rep_dots reps %}", reps=[]) == ""


def test_attendance_is_told_in_counts():
    html = drawn("{% attendance_blocks came %}", came=[True, False, True])
    assert 'aria-label="Came to 2 of the last 3 practices, newest on the right"' in html
    assert (html.count('class="came"'), html.count('class="away"')) == (2, 1)


def test_tries_are_blocks_the_good_ones_first_and_rows_side_by_side_have_blocks_of_one_size():
    html = drawn('{% tries 2 5 20 "drop" label="2 of 5 tries" %}')
    assert re.findall(r'class="(good|open)"', html) == ["good", "good", "open", "open", "open"]
    assert 'class="tries drop"' in html and 'aria-label="2 of 5 tries"' in html
    assert (tries_a_row(0, 3), tries_a_row(80, 12), tries_a_row(101, 12)) == (20, 20, 26)


@pytest.mark.parametrize(
    "state,count,words",
    [("tablet", 37, "37 on the tablet"), ("server", 34, "34 on the server"), ("look", 1, "1 needs a look")],
)
def test_a_sync_mark_always_has_its_count_and_words(state, count, words):
    assert words in drawn("{% sync_mark state count %}", state=state, count=count)
    assert "2 need a look" in drawn('{% sync_mark "look" 2 %}')


def test_figures_keep_together_on_a_line():
    assert drawn("{{ share|percent }}", share=0.652) == "65\N{NO-BREAK SPACE}%"
    assert drawn("{% out_of 13 15 %}") == "13\N{NO-BREAK SPACE}of\N{NO-BREAK SPACE}15"


def test_no_part_carries_a_style_or_a_script_of_its_own(parts_page):
    elements = Elements(parts_page).found
    assert not [tag for tag, attrs in elements if "style" in attrs or tag == "style"]
    assert not [attrs for _, attrs in elements if any(name.startswith("on") for name in attrs)]
    scripts = [attrs for tag, attrs in elements if tag == "script"]
    assert scripts and all(attrs.get("src") for attrs in scripts)


def test_nothing_on_the_page_comes_from_another_host(parts_page):
    addresses = [
        value
        for _, attrs in Elements(parts_page).found
        for name, value in attrs.items()
        if name in ("src", "href", "action") and value
    ]
    assert addresses and not [a for a in addresses if "//" in a]


def test_every_drawing_is_a_named_picture_or_hidden(parts_page):
    drawings = [attrs for tag, attrs in Elements(parts_page).found if tag == "svg"]
    assert len(drawings) > 30
    assert all(("aria-label" in attrs) != ("aria-hidden" in attrs) for attrs in drawings)


def test_the_hatch_that_bars_point_at_is_on_the_page(parts_page):
    assert 'fill="url(#hatch)"' in parts_page
    assert len(re.findall(r'<pattern id="hatch"', parts_page)) == 1


def test_safety_ends_with_the_rules_sentence():
    html = render_to_string("club/parts/safety.html", {"text": "Nobody jumps."})
    said = re.sub("<[^>]+>", " ", html).strip()
    assert said.endswith("the licensed or certified coach in charge come first.")


def test_a_wrong_field_points_at_its_own_error_and_the_summary_points_at_the_field():
    html = render_to_string("club/parts/form.html", {"form": PartsForm({"hold_m": "9"})})
    elements = Elements(html).found
    hold = next(attrs for tag, attrs in elements if attrs.get("id") == "id_hold_m")
    assert (hold["aria-invalid"], hold["aria-describedby"]) == ("true", "id_hold_m_helptext id_hold_m_error")
    ids = {attrs["id"] for _, attrs in elements if "id" in attrs}
    assert {"id_hold_m_helptext", "id_hold_m_error"} <= ids
    links = [(attrs["href"] or "").removeprefix("#") for tag, attrs in elements if tag == "a"]
    assert len(links) == 5 and set(links) <= ids


def test_django_draws_its_forms_with_the_same_templates():
    assert 'class="form"' in str(PartsForm())
    assert 'class="field"' in PartsForm()["note"].as_field_group()


def test_the_pager_keeps_what_was_asked_for(parts_page):
    assert 'href="?squad=terns&amp;page=1"' in parts_page
    assert "Page 2 of 4, 61 in all" in parts_page


@pytest.mark.parametrize("code", ["400", "403", "403_csrf", "404", "500"])
def test_an_error_page_needs_no_request_and_says_what_was_kept(code):
    html = render_to_string(f"{code}.html")
    assert re.search(r"Nothing was (changed|saved)|is kept", html)
    assert 'href="/"' in html


def test_the_page_of_a_broken_server_stands_alone():
    source = Engine.get_default().get_template("500.html").source
    assert "{% extends" not in source and "{% include" not in source and "{% static " not in source


def test_the_words_of_tags_are_translated(monkeypatch):
    monkeypatch.setattr(look, "_", str.upper)
    monkeypatch.setattr(
        look, "ngettext", lambda one, many, count: (one if count == 1 else many).replace("need", "NEED")
    )
    assert "KEEP ON" in drawn('{% verdict "keep on" %}')
    assert "2 NEED a look" in drawn('{% sync_mark "look" 2 %}')
