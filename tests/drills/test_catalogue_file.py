"""A catalogue file: what is read is what was written, and what is dangerous is never unfolded."""

import json
import re
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drills.core.catalogue import Catalogue, Remedy
from drills.core.problems import FORBIDDEN, MOST_SHOWN, CatalogueProblems
from drills.core.reading import read_catalogue, validate, write_catalogue
from drills.core.schema import published
from drills.core.yaml_text import MOST_BYTES, read_yaml

FIXTURES = Path(__file__).parents[2] / "fixtures"
SHIPPED = (FIXTURES / "catalogue.yaml").read_bytes()
CATALOGUE = read_catalogue(SHIPPED)

texts = st.text(st.characters(exclude_categories=["Cc", "Cs"]), min_size=1, max_size=60).filter(
    lambda text: text.strip() and not re.search(FORBIDDEN, text)
)


def refused(data: bytes) -> list[str]:
    """The problems of a bad file, as text."""
    with pytest.raises(CatalogueProblems) as caught:
        read_catalogue(data)
    return [str(problem) for problem in caught.value.problems]


def test_what_is_written_reads_back_as_the_same_catalogue() -> None:
    assert read_catalogue(write_catalogue(CATALOGUE).encode()) == CATALOGUE
    assert validate(CATALOGUE) == ()


def test_writing_what_was_read_from_a_written_file_changes_no_letter() -> None:
    once = write_catalogue(CATALOGUE)
    assert write_catalogue(read_catalogue(once.encode())) == once


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        texts | st.sampled_from(["yes", "null", "~", "1", "0x1f", "1.5", "=A1+1", "- a", "a: b", "#"]),
        min_size=4,
        max_size=4,
    )
)
def test_any_text_survives_the_round_trip(words: list[str]) -> None:
    small = read_catalogue((Path(__file__).parent / "small_catalogue.yaml").read_bytes())
    stage, *stages = small.stages
    text, *safety = small.safety
    changed = replace(
        small,
        name=words[0],
        stages=(replace(stage, name=words[1], about=words[2]), *stages),
        safety=(replace(text, text=words[3]), *safety),
    )
    assert read_catalogue(write_catalogue(changed).encode()) == changed


def test_the_published_schema_is_the_one_in_use() -> None:
    # renew: python -c "from drills.core.schema import published; print(published(), end='')" > the file
    assert (FIXTURES / "catalogue.schema.json").read_text(encoding="utf-8") == published()


def test_the_published_schema_is_valid_and_accepts_the_shipped_catalogue() -> None:
    schema = json.loads(published())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(read_yaml(SHIPPED).value, schema, cls=jsonschema.Draft202012Validator)


def test_a_catalogue_changed_in_the_app_is_checked_by_the_same_rules() -> None:
    drill = next(drill for drill in CATALOGUE.drills if drill.key == "wall-plant")
    others = tuple(other for other in CATALOGUE.drills if other.key != "wall-plant")
    changed = replace(CATALOGUE, drills=(*others, replace(drill, gate=("stays-grounded", "top-hand-path"), needs=())))
    reasons = {problem.path: problem.reason for problem in validate(changed)}
    assert reasons == {"drills[wall-plant].entry_drill": "the entry drill must be among the needs"}
    changed = replace(CATALOGUE, drills=(*others, replace(drill, gate=("top-hand-path", "full-reach"))))
    assert [problem.path for problem in validate(changed)] == ["drills[wall-plant].gate"]


def test_a_byte_order_mark_is_no_problem() -> None:
    assert read_catalogue(b"\xef\xbb\xbf" + SHIPPED) == CATALOGUE


def test_windows_line_ends_are_no_problem() -> None:
    assert read_catalogue(SHIPPED.replace(b"\n", b"\r\n")) == CATALOGUE


def test_a_retired_item_stays_readable() -> None:
    activity, *activities = CATALOGUE.activities
    changed = replace(CATALOGUE, activities=(replace(activity, retired=True), *activities))
    assert read_catalogue(write_catalogue(changed).encode()) == changed


# ── what YAML can do to a reader ─────────────────────────────────────────────────────────────────────────────────────


def test_an_alias_bomb_is_refused_without_unfolding_it() -> None:
    bomb = b"a: &a [x,x,x,x,x,x,x,x,x]\n" + b"".join(
        f"{chr(98 + at)}: &{chr(98 + at)} [{','.join([f'*{chr(97 + at)}'] * 9)}]\n".encode() for at in range(20)
    )
    problems = refused(bomb)
    assert "line 1, a: anchors are not allowed: write the value out" in problems
    assert "line 2, b[9]: aliases are not allowed: write the value out" in problems


def test_an_alias_to_itself_is_refused() -> None:
    assert "line 1, stages[1]: aliases are not allowed: write the value out" in refused(b"stages: &s [*s]\n")


def test_tags_that_name_types_are_refused() -> None:
    problems = refused(b"name: !!python/object/apply:os.system ['true']\n")
    assert any(problem.startswith("line 1, name: tags are not allowed") for problem in problems)


def test_merge_keys_are_only_unknown_fields() -> None:
    assert "line 1, <<: no such field" in refused(b"<<: {version: 1}\n")


@pytest.mark.parametrize(
    "data", [b"[" * 50_000, b"- " * 50_000, b"{a: " * 50_000, b"stages:\n  - " + b"[" * 900 + b"]" * 900]
)
def test_deep_nesting_is_refused_at_its_line(data: bytes) -> None:
    assert any("nested too deeply" in problem for problem in refused(data))


def test_a_huge_file_is_refused_before_it_is_read() -> None:
    assert refused(b"#" * (MOST_BYTES + 1)) == ["line 1, file: the file is larger than 512 KiB"]


def test_too_many_values_are_refused() -> None:
    assert any("more values than" in problem for problem in refused(b"stages: [" + b"1," * 60_000 + b"]"))


def test_text_that_is_not_utf_8_is_refused_at_its_line() -> None:
    assert refused(b"format: 1\nname: caf\xe9\n") == [
        "line 2, file: not UTF-8 text: save the file with the encoding UTF-8"
    ]
    assert len(refused("format: 1\n".encode("utf-16"))) == 1


def test_control_characters_are_refused_at_their_line() -> None:
    assert refused(b"format: 1\nname: a\x00b\n") == [
        "line 2, file: contains a character that no text may have (U+0000)"
    ]


def test_two_documents_are_refused() -> None:
    assert refused(b"format: 1\n---\nformat: 1\n") == ["line 2, file: holds several documents: only one is allowed"]


@pytest.mark.parametrize("data", [b"", b"# only a comment\n", b"just words\n", b"- 1\n", b"null\n", b"12\n"])
def test_a_file_that_is_no_catalogue_is_refused(data: bytes) -> None:
    assert refused(data)[0].endswith("file: must be a group of named fields")


@pytest.mark.parametrize(
    "data", [b"name: [1\nversion: 2\n", b"name: 'a\n", b"\tname: a\n", b"a: b: c\n", b"name: @x\n", b"%X\n"]
)
def test_broken_yaml_is_refused_with_its_line(data: bytes) -> None:
    (problem,) = refused(data)
    assert ", file: not readable as YAML: " in problem


@pytest.mark.parametrize("data", [b"? [a]\n: 1\n", b"{[a]: 1}\n", b"? {a: 1}\n: 1\n"])
def test_a_field_name_that_is_no_text_is_refused(data: bytes) -> None:
    assert refused(data) == ["line 1, file: the name of a field must be plain text"]


def test_a_number_of_a_million_digits_is_only_too_long() -> None:
    problems = refused(b"format: 1\nversion: " + b"9" * 400_000 + b"\n")
    assert "line 2, version: the number is too long" in problems


def test_words_that_older_yaml_takes_for_truth_or_dates_stay_words() -> None:
    value = read_yaml(b"a: no\nb: on\nc: 2024-01-01\nd: 12:30\ne: 1_000\nf: 0o17\ng: true\nh: ~\ni: -4\n").value
    assert value == {
        "a": "no",
        "b": "on",
        "c": "2024-01-01",
        "d": "12:30",
        "e": "1_000",
        "f": "0o17",
        "g": True,
        "h": None,
        "i": -4,
    }


def test_a_file_full_of_problems_lists_many_and_counts_the_rest() -> None:
    problems = refused(b"".join(f"field-{at}: 1\n".encode() for at in range(MOST_SHOWN * 2)))
    assert len(problems) == MOST_SHOWN + 1
    assert "more problems from here on" in problems[-1]


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=400) | st.text(alphabet="abz:-[]{}&*!#|>'\"%@`?,~ \n\t0189", max_size=200).map(str.encode))
def test_whatever_comes_in_is_refused_in_words_and_never_with_a_crash(data: bytes) -> None:
    assert all(problem.startswith("line ") for problem in refused(data))


def test_problems_carry_the_message_to_translate_apart_from_its_values() -> None:
    with pytest.raises(CatalogueProblems) as caught:
        read_catalogue(SHIPPED.replace(b"    stage: one-arm", b"    stage: two-arms", 1))
    (problem,) = caught.value.problems
    assert (problem.message, problem.values) == ("%(value)s is not in this catalogue", (("value", "two-arms"),))
    assert problem.path == "drills[top-arm-plant].stage"


def test_reading_returns_frozen_values() -> None:
    assert isinstance(CATALOGUE, Catalogue) and hash(CATALOGUE)
    assert Remedy(drill=None, adjustment="start-higher", note="Start higher.") in {
        link.mend for link in CATALOGUE.links
    }
