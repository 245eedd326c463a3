"""The shot list as CSV, Markdown and JSON, read back by readers that are not ours."""

from __future__ import annotations

import csv
import json
from io import StringIO
from itertools import pairwise
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from animatic.sheets import FORMATS
from animatic.sheets.comma import safe
from animatic.sheets.rows import COLUMNS, row, text, total
from animatic.timeline.model import Timeline
from tests.sheets.timelines import Take, film, films, low_water

KEYS = [column.key for column in COLUMNS]
HEADS = (
    "shot,panels,size,setup,first_frame,end_frame,frames,poses,seconds,in,out,feet,"
    "overlap_head,overlap_tail,handles,frames_to_shoot,dialogue,notes"
)
RISKY = set("=+-@＝＋－＠'")


def written(name: str, timeline: Timeline) -> str:
    content = FORMATS[name](timeline)
    assert isinstance(content, str)
    content.encode("utf-8")
    return content


def plain(cell: str) -> str:
    """Take back the apostrophe that the CSV puts before words a spreadsheet would run."""
    return cell.removeprefix("'")


def markdown_table(content: str) -> list[list[str]]:
    """Return the words of the one table on a page, by a CommonMark reader with GFM tables."""
    tokens = MarkdownIt("commonmark").enable("table").parse(content)
    assert sum(token.type == "table_open" for token in tokens) == 1
    rows: list[list[str]] = []
    for token, inline in pairwise(tokens):
        if token.type == "tr_open":
            rows.append([])
        elif token.type in ("th_open", "td_open"):
            parts = [
                "\n" if (child.type, child.content) == ("html_inline", "<br>") else child.content
                for child in inline.children or ()
            ]
            assert {child.type for child in inline.children or ()} <= (
                {"text", "text_special", "html_inline", "strong_open", "strong_close"}
            )
            rows[-1].append("".join(parts))
    return rows


def test_the_formats_by_name() -> None:
    assert list(FORMATS)[:5] == ["table", "csv", "md", "json", "edl"]


def test_csv_in_full() -> None:
    assert written("csv", low_water(start=86_400)) == "\r\n".join(
        [
            HEADS,
            "10,2,WS,quay-day,0,108,108,65,4.500,01:00:00:00,01:00:04:12,6+12,0,6,8,130,"
            "Odd: The tide is late.,",
            "20,2,MCU,wheelhouse-night,108,164,56,56,2.333,01:00:04:12,01:00:06:20,3+08,6,0,8,78,"
            '"Pim: [sigh] It\'s | *always* late, ""Odd"".",',
            "30a,1,,'-quay,164,171,7,4,0.292,01:00:06:20,01:00:07:03,0+07,0,4,0,11,"
            "<i>Gulls</i> & wind,",
            "40,1,CU,quay-day,171,271,100,60,4.167,01:00:07:03,01:00:11:07,6+04,3,0,8,119,"
            '"Odd: Listen. / Pim: Ёлки, it’s the bell — at last!",',
            "total,6,,,,,271,185,11.292,,,16+15,,,,338,,",
            "",
        ]
    )


@settings(deadline=None)
@given(films())
def test_csv_of_any_film_read_back(timeline: Timeline) -> None:
    content = written("csv", timeline)
    # One line a row: no cell holds a line end, and RFC 4180 ends every line with CR LF.
    assert content.count("\r\n") == content.count("\n") == content.count("\r")
    assert content.count("\n") == len(timeline.shots) + 2
    rows = list(csv.DictReader(StringIO(content, newline=""), strict=True))
    assert list(rows[0]) == KEYS
    for values, shot in zip(rows, timeline.shots, strict=False):
        expected = row(timeline, shot)
        for key in KEYS:
            assert plain(values[key]) == text(expected[key])
    last = rows[-1]
    sums = total(timeline)
    assert last == {key: text(sums.get(key, "")) for key in KEYS} | {"shot": "total"}
    for key in ("panels", "frames", "poses", "frames_to_shoot"):
        assert int(last[key]) == sum(int(values[key]) for values in rows[:-1])


@settings(deadline=None)
@given(
    st.lists(
        st.text(st.sampled_from("=+-@＝＋－＠'\t\r\n\0 \"1,"), max_size=6), min_size=4, max_size=4
    )
)
def test_no_csv_cell_is_a_formula(drawn: list[str]) -> None:
    shot, size, setup, said = drawn
    timeline = film(Take(shot, [(24, 2, [("", said, 0, 4)])], size, setup))
    for cells in csv.reader(StringIO(written("csv", timeline), newline="")):
        assert not [cell for cell in cells if cell[:1] in RISKY - {"'"}]
        assert len(cells) == len(KEYS)


# The beginnings that OWASP's page on CSV injection names; tabs and line ends never get so far.
@pytest.mark.parametrize("begin", sorted(RISKY))
def test_words_that_a_spreadsheet_would_run(begin: str) -> None:
    name, said = f"{begin}1+1", [("", f"{begin}cmd|' /C calc'!A0", 0, 4)]
    timeline = film(Take(name, [(24, 2, said)], f" {begin}size", f"\t{begin}setup"))
    values = next(csv.DictReader(StringIO(written("csv", timeline), newline="")))
    assert values["shot"] == f"'{begin}1+1"
    assert values["size"] == f"'{begin}size"
    assert values["setup"] == f"'{begin}setup"
    assert values["dialogue"] == f"'{begin}cmd|' /C calc'!A0"
    # Words unchanged in JSON, where nothing is run.
    assert json.loads(written("json", timeline))["shots"][0]["shot"] == name


@settings(deadline=None)
@given(st.text(st.sampled_from("=+-@＝'a "), max_size=4))
def test_safe_words_can_be_told_back(said: str) -> None:
    assert safe(said).removeprefix("'") == said


SHOT = {
    "type": "object",
    "additionalProperties": False,
    "required": KEYS,
    "properties": {
        **{key: {"type": "string"} for key in ("shot", "size", "setup", "notes")},
        **{
            key: {"type": "integer", "minimum": 0}
            for key in ("first_frame", "overlap_head", "overlap_tail", "handles")
        },
        **{
            key: {"type": "integer", "minimum": 1}
            for key in ("panels", "end_frame", "frames", "poses", "frames_to_shoot")
        },
        "seconds": {"type": "number", "exclusiveMinimum": 0},
        **{
            key: {"type": "string", "pattern": r"^\d\d:\d\d:\d\d[:;]\d\d$"} for key in ("in", "out")
        },
        "feet": {"type": "string", "pattern": r"^\d+\+(0\d|1[0-5])$"},
        "dialogue": {
            "type": "array",
            "items": {
                "type": "object",
                "additionalProperties": False,
                "required": ["who", "line"],
                "properties": {"who": {"type": "string"}, "line": {"type": "string"}},
            },
        },
    },
}
SUMS = ("panels", "frames", "poses", "seconds", "feet", "frames_to_shoot")
SCHEMA: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "type": "object",
    "additionalProperties": False,
    "required": ["title", "rate", "shots", "total"],
    "properties": {
        "title": {"type": "string"},
        "rate": {"enum": ["12", "15", "24", "25", "30", "23.976", "29.97", "59.94"]},
        "shots": {"type": "array", "minItems": 1, "items": SHOT},
        "total": {
            "type": "object",
            "additionalProperties": False,
            "required": ["shots", *SUMS, "run_time"],
            "properties": {
                **{key: SHOT["properties"][key] for key in SUMS},  # type: ignore[index]
                "shots": {"type": "integer", "minimum": 1},
                "run_time": {"type": "string", "pattern": r"^(\d+:[0-5])?\d:[0-5]\d\.\d{3}$"},
            },
        },
    },
}


@settings(deadline=None)
@given(films())
def test_json_of_any_film_read_back(timeline: Timeline) -> None:
    content = written("json", timeline)
    assert content.endswith("}\n")
    found = json.loads(content)
    jsonschema.Draft202012Validator(SCHEMA).validate(found)
    assert found["title"] == timeline.title
    assert found["rate"] == timeline.rate.name
    for values, shot in zip(found["shots"], timeline.shots, strict=True):
        expected = row(timeline, shot)
        assert list(values) == KEYS
        assert f"{values.pop('seconds'):.3f}" == str(expected.pop("seconds"))
        lines = [(line.who, line.text) for line in shot.lines]
        assert [(said["who"], said["line"]) for said in values.pop("dialogue")] == lines
        del expected["dialogue"]
        assert values == expected
    sums = total(timeline)
    assert f"{found['total'].pop('seconds'):.3f}" == str(sums.pop("seconds"))
    assert found["total"] == sums


def test_json_begins_so() -> None:
    assert written("json", low_water(title="Niedrig & <Süß>")).startswith(
        '{\n  "title": "Niedrig & <Süß>",\n  "rate": "24",\n  "shots": [\n    {\n'
        '      "shot": "10",\n      "panels": 2,\n'
    )


def test_json_keeps_half_of_a_surrogate_pair() -> None:
    timeline = film(Take("10", [(24, 2)]), title="half \ud800")
    assert json.loads(written("json", timeline))["title"] == "half \ud800"


def test_markdown_in_full() -> None:
    timeline = film(
        Take("10", [(72, 2, [("Odd", "Late | later", 0, 9), ("Pim", "_No_.", 9, 20)])]),
        Take("20", [(31, 2)], "MCU", "*hut*", dissolve=12),
        title="Low *Water* #1",
        start=86_400,
    )
    assert written("md", timeline) == (
        "# Low \\*Water\\* \\#1\n"
        "\n"
        "24 frames a second · run time 0:04.292 · 103 frames · first frame at 01:00:00:00\n"
        "\n"
        "| Shot        | Panels | Size | Setup    | First frame | End frame |  Frames |  Poses |"
        "   Seconds |          In |         Out | Feet 35 mm | Overlap head | Overlap tail |"
        " Handles | Frames to shoot | Dialogue | Notes |\n"
        "| ----------- | -----: | ---- | -------- | ----------: | --------: | ------: | -----: |"
        " --------: | ----------: | ----------: | ---------: | -----------: | -----------: |"
        " ------: | --------------: | --- | --- |\n"
        "| 10          |      1 | WS   | quay-day |           0 |        72 |      72 |     47 |"
        "     3.000 | 01:00:00:00 | 01:00:03:00 |       4+08 |            0 |            6 |"
        "       8 |              94 | Odd: Late \\| later<br>Pim: \\_No\\_. |     |\n"
        "| 20          |      1 | MCU  | \\*hut\\*  |          72 |       103 |      31 |     27 |"
        "     1.292 | 01:00:03:00 | 01:00:04:07 |       1+15 |            6 |            0 |"
        "       8 |              53 |     |     |\n"
        "| **2 shots** |  **2** |      |          |             |           | **103** | **74** |"
        " **4.292** |             |             |   **6+07** |              |              |"
        "         |         **147** |     |     |\n"
        "\n"
        "Frames count from 0; a shot's end frame and its Out are those of the frame after its"
        " last. Handles stand at each end. Poses are those for the frames to shoot.\n"
    )


@settings(deadline=None)
@given(films())
def test_markdown_of_any_film_read_back(timeline: Timeline) -> None:
    heads, *rows, last = markdown_table(written("md", timeline))
    assert heads == [column.heading for column in COLUMNS]
    for cells, shot in zip(rows, timeline.shots, strict=True):
        assert cells == [text(value, "\n").strip() for value in row(timeline, shot).values()]
    sums = total(timeline) | {"shot": f"{len(timeline.shots)} shots".replace("1 shots", "1 shot")}
    assert last == [text(sums.get(key, "")) for key in KEYS]


@settings(deadline=None)
@given(st.text(st.sampled_from("\\|*_`<>[]&~#a1; "), max_size=12))
def test_words_that_look_like_markdown(said: str) -> None:
    timeline = film(Take("10", [(24, 2, [("", said, 0, 4)])]), title=said)
    content = written("md", timeline)
    shown = " ".join(said.split())
    assert markdown_table(content)[1][-2] == shown
    heading, inline = MarkdownIt("commonmark").enable("table").parse(content)[:2]
    assert (heading.type, heading.tag) == ("heading_open", "h1")
    assert "".join(child.content for child in inline.children or ()) == shown or not shown


@pytest.mark.parametrize(
    "said", ["&lt;b&gt; &#65; &#x41; &", "a_b _c_ d_", "\\| \\\\|", "R&D; <br>"]
)
def test_words_that_markdown_would_change(said: str) -> None:
    timeline = film(Take("10", [(24, 2, [("Odd", said, 0, 4)])], setup=said))
    cells = markdown_table(written("md", timeline))[1]
    assert (cells[3], cells[-2]) == (said, f"Odd: {said}")
