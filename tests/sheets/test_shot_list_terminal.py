"""The shot list on terminals of several widths, and in a pipe."""

from __future__ import annotations

import re
from io import StringIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.console import Console

from animatic.sheets import FORMATS
from animatic.sheets.rows import COLUMNS, row, text
from animatic.sheets.terminal import ORDER, show, write
from animatic.timeline.model import Timeline
from tests.sheets.timelines import Take, film, films, low_water


def drawn(width: int | None, timeline: Timeline | None = None) -> str:
    return write(timeline or low_water(start=86_400), width)


def test_80_columns_in_full() -> None:
    assert drawn(80) == (
        "Low Water\n"
        "24 frames a second · run time 0:11.292 · first frame at 01:00:00:00\n"
        "\n"
        "                                                                        Frames\n"
        "Shot     Size  Setup             Frames  Poses  Seconds           In  to shoot\n"
        "──────────────────────────────────────────────────────────────────────────────\n"
        "10       WS    quay-day             108     65    4.500  01:00:00:00       130\n"
        "20       MCU   wheelhouse-night      56     56    2.333  01:00:04:12        78\n"
        "30a            -quay                  7      4    0.292  01:00:06:20        11\n"
        "40       CU    quay-day             100     60    4.167  01:00:07:03       119\n"
        "──────────────────────────────────────────────────────────────────────────────\n"
        "4 shots                             271    185   11.292                    338\n"
        "\n"
        "A wider window or any other format also shows: panels, first frame, end frame,\n"
        "out, feet 35 mm, overlap head, overlap tail, handles, dialogue, notes.\n"
    )


def test_120_columns_have_room_for_dialogue_which_keeps_its_brackets() -> None:
    lines = drawn(120).splitlines()
    heads = "Shot Panels Size Setup Frames Poses Seconds In to shoot Dialogue"
    assert " ".join(lines[4].split()) == heads
    assert [line[88:] for line in lines[6:12]] == [
        "Odd: The tide is late.",
        "Pim: [sigh] It's | *always*",
        'late, "Odd".',
        "<i>Gulls</i> & wind",
        "Odd: Listen.",
        "Pim: Ёлки, it’s the bell — at",
    ]
    assert lines[-2:] == [
        "A wider window or any other format also shows: first frame, end frame, out, feet 35 mm,"
        " overlap head, overlap tail,",
        "handles, notes.",
    ]


def test_200_columns_and_a_pipe_have_every_column() -> None:
    heads = (
        "Shot Panels Size Setup frame frame Frames Poses Seconds In Out 35 mm head tail Handles"
        " to shoot Dialogue Notes"
    )
    for width in (200, None):
        content = drawn(width)
        assert content.splitlines()[4].split() == heads.split()
        assert "also shows" not in content
    # In a pipe each shot is one line.
    assert (
        drawn(None).splitlines()[9].endswith("Odd: Listen. / Pim: Ёлки, it’s the bell — at last!")
    )
    assert len(drawn(None).splitlines()) == 3 + 2 + 1 + 4 + 1 + 1


def test_numbers_end_and_words_begin_under_their_headings() -> None:
    lines = drawn(None).splitlines()
    head, rows = lines[4], [*lines[6:10], lines[11]]
    for heading in ("Panels", "Frames", "Poses", "Seconds", "In", "Out", "Handles", "to shoot"):
        end = re.search(rf"\b{heading}\b", head).end()  # type: ignore[union-attr]
        assert {line[end : end + 2].strip() for line in rows} == {""}
        assert all(line[end - 1 : end].isdigit() for line in rows[:4])
    for heading in ("Size", "Setup", "Dialogue"):
        begin = head.index(heading)
        assert {line[begin - 2 : begin].strip() for line in rows} == {""}


def test_columns_go_in_the_planned_order() -> None:
    assert sorted(ORDER) == sorted(column.key for column in COLUMNS)
    heads = [drawn(width).split("─")[0].split("\n\n")[1] for width in range(30, 210, 5)]
    counts = [len(head.split()) for head in heads]
    assert counts[0] < counts[-1]
    # What comes first in the order is never missing where there is any room.
    assert all("Shot" in head and "Frames" in head for head in heads)


@settings(deadline=None)
@given(films(), st.integers(24, 240))
def test_no_line_is_wider_than_the_terminal(timeline: Timeline, width: int) -> None:
    content = drawn(width, timeline)
    assert max(map(cell_len, content.split("\n"))) <= width
    assert not any(line != line.rstrip() for line in content.split("\n"))


@settings(deadline=None)
@given(films())
def test_every_value_stands_in_the_piped_list(timeline: Timeline) -> None:
    lines = drawn(None, timeline).split("\n")
    # Wider than a title of such signs.
    rules = [number for number, line in enumerate(lines) if len(line) > 60 and set(line) == {"─"}]
    body = lines[rules[0] + 1 : rules[-1]]
    for line, shot in zip(body, timeline.shots, strict=True):
        expected = " ".join(filter(None, map(text, row(timeline, shot).values())))
        assert re.sub(" +", " ", line).strip() == re.sub(" +", " ", expected).strip()


def test_long_and_wide_words_are_wrapped() -> None:
    timeline = film(Take("the longest shot name of all", [(24, 2)], setup="日本" * 15))
    # The numbers keep their place: a character of two cells takes two.
    assert drawn(80, timeline).splitlines()[6:9] == [
        "the longest shot  WS    日本日本日本日本日本      24     20    1.000        40",
        "name of all             日本日本日本日本日本",
        "                        日本日本日本日本日本",
    ]


@pytest.mark.parametrize("variable", ["FORCE_COLOR", "CLICOLOR_FORCE"])
def test_a_pipe_gets_plain_text(variable: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(variable, "1")
    assert "\x1b" not in drawn(None)
    assert FORMATS["table"](low_water()) == drawn(None, low_water())


def test_show_prints_styled_on_a_terminal_and_plain_elsewhere() -> None:
    timeline = film(Take("10", [(24, 2, [("Odd", "[bold]No\x1b[31m![/bold]", 0, 9)])]))
    pipe = StringIO()
    show(timeline, Console(file=pipe, width=80))
    assert pipe.getvalue() == drawn(None, timeline)
    screen = StringIO()
    show(timeline, Console(file=screen, force_terminal=True, width=140, color_system="standard"))
    styled = screen.getvalue()
    assert styled.startswith("\x1b[1mLow Water\x1b[0m\n\x1b[2m24 frames")
    assert "Odd: [bold]No[31m![/bold]\n" in styled
    assert set(re.findall(r"\x1b\[(\d+)m", styled)) == {"0", "1", "2"}
    assert re.sub(r"\x1b\[\d+m", "", styled).split() == drawn(140, timeline).split()
