"""The pace of a film: numbers that can be worked out by hand, and the charts."""

from __future__ import annotations

import statistics
from dataclasses import replace
from io import BytesIO
from random import Random
from xml.etree import ElementTree

import pytest
from boards import BoardFolder, panels
from PIL import Image

from animatic.sheets.pacechart import as_json, as_text, bar, chart, drawn
from animatic.timeline import lay_out
from animatic.timeline.pace import even_runs, pace

ROWS = """
- {shot: 10, photo: a.jpg, duration: 2s, setup: quay}
- {shot: 20, photo: a.jpg, duration: 2s, setup: quay}
- {shot: 30, photo: a.jpg, duration: 50f, setup: dusk}
- shot: 40
  photo: a.jpg
  setup: shed
  duration: 8s
  dialogue: [{who: Odd, line: Late., voice: line.wav, at: 1s}]
- {shot: 50, photo: a.jpg, duration: 1s}
"""
HEAD = """board: 1
picture: {size: 160x90}
setups: {quay: {place: Quay}, dusk: {place: Quay}, shed: {place: Shed}}
music: [{file: music.wav, bpm: 60}]
"""


@pytest.fixture
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("pace"))
    made.photo()
    made.sound("line.wav", 48_000 * 3)
    made.sound("music.wav", 48_000 * 30)
    return made


def test_the_numbers_are_those_of_the_shots(folder: BoardFolder) -> None:
    board = folder.read(panels(ROWS, HEAD))
    timeline = lay_out(board)
    found = pace(board, timeline)
    lengths = [2, 2, 50 / 24, 8, 1]
    # Against the standard library, worked from the lengths as written.
    assert found.mean == pytest.approx(statistics.fmean(lengths))
    assert found.median == pytest.approx(statistics.median(lengths))
    assert found.deviation == pytest.approx(statistics.pstdev(lengths))
    assert (found.longest.name, found.shortest.name) == ("40", "50")
    assert found.speech == pytest.approx(3 / sum(lengths), abs=1e-4)
    assert found.even == (("10", "20", "30"),)
    first = found.sequences[0]
    assert (first.place, first.first, first.last, first.shots) == ("Quay", "10", "30", 3)
    assert first.shots_a_minute == pytest.approx(3 * 60 / (4 + 50 / 24))
    assert [part.place for part in found.sequences] == ["Quay", "Shed", "no setup"]


def test_a_cut_on_a_beat_at_the_end_of_a_line_is_named(folder: BoardFolder) -> None:
    rows = """
    - shot: 10
      photo: a.jpg
      duration: 4s
      dialogue: [{who: Odd, line: Late., voice: line.wav, at: 1s}]
    - {shot: 20, photo: a.jpg, duration: 3s}
    """
    board = folder.read(panels(rows, HEAD))
    assert pace(board, lay_out(board)).together == ("20",)


def test_two_even_shots_are_no_run(folder: BoardFolder) -> None:
    rows = """
    - {shot: 10, photo: a.jpg, duration: 48f}
    - {shot: 20, photo: a.jpg, duration: 48f}
    - {shot: 30, photo: a.jpg, duration: 54f}
    """
    assert even_runs(folder.lay_out(panels(rows)).shots) == []


def runs(folder: BoardFolder, lengths: list[int]) -> list[tuple[str, ...]]:
    rows = "\n".join(
        f"- {{shot: {n}, photo: a.jpg, duration: {length}f}}" for n, length in enumerate(lengths)
    )
    return even_runs(folder.lay_out(panels(rows)).shots)


@pytest.mark.parametrize(
    ("lengths", "found"),
    [
        # 100 and 92 are even, and so are 92 and 90; 100 and 90 are a whole tenth apart.
        ([100, 92, 92, 90, 90, 48], ["012", "1234"]),
        ([48, 90, 90, 92, 92, 100], ["1234", "345"]),
        ([50, 50, 50, 80, 80, 80], ["012", "345"]),
        ([50, 50, 80, 80], []),
        ([60, 60, 60, 60], ["0123"]),
    ],
)
def test_every_longest_run_is_named(
    folder: BoardFolder, lengths: list[int], found: list[str]
) -> None:
    assert ["".join(run) for run in runs(folder, lengths)] == found


def test_the_runs_are_those_that_trying_all_finds(folder: BoardFolder) -> None:
    dice = Random(4)
    for _ in range(60):
        lengths = [dice.choice((80, 84, 88, 92, 96, 100)) for _ in range(dice.randint(1, 14))]
        every = [
            range(a, b)
            for a in range(len(lengths))
            for b in range(a + 3, len(lengths) + 1)
            if 10 * (max(lengths[a:b]) - min(lengths[a:b])) < max(lengths[a:b])
        ]
        longest = [one for one in every if not any(set(one) < set(other) for other in every)]
        assert runs(folder, lengths) == [tuple(map(str, one)) for one in longest]


def test_the_bar_has_a_part_for_each_shot(folder: BoardFolder) -> None:
    board = folder.read(panels(ROWS, HEAD))
    timeline = lay_out(board)
    blocks = bar(timeline, 60)
    assert len(blocks) == 60
    # Shot 40 has 192 of 362 frames; it is the highest block.
    assert blocks.count("█") == round(60 * 192 / 362)
    text = as_text(timeline, pace(board, timeline), 60)
    assert "nearly one length in a row: shots 10, 20, 30\n" in text
    assert "somebody speaks in 20 % of the film\n" in text


def test_the_charts_open_and_are_the_same_each_time(folder: BoardFolder) -> None:
    board = folder.read(panels(ROWS, HEAD))
    timeline = lay_out(board)
    measured = pace(board, timeline)
    png = chart(timeline, measured, "png")
    assert Image.open(BytesIO(png)).size == (1650, 600)
    svg = chart(timeline, measured, "svg")
    assert ElementTree.fromstring(svg).tag.endswith("svg")
    assert svg == chart(timeline, measured, "svg")
    assert png == chart(timeline, measured, "png")


def test_half_a_character_is_written_as_json(folder: BoardFolder) -> None:
    # RFC 8259, 8.2: such a half can only stand in JSON as its escape.
    board = folder.read(panels(ROWS, HEAD))
    timeline = lay_out(board)
    written = as_json(timeline, replace(pace(board, timeline), together=("\ud800",)))
    assert '"\\ud800"' in written.encode().decode()


def test_the_mean_strikes_through_no_name(folder: BoardFolder) -> None:
    # Around the mean of 4 seconds, a frame or a few longer or shorter.
    lengths = [24, 48, 72, 86, 90, 93, 95, 96, 97, 100, 106, 144, 197]
    rows = "\n".join(
        f"- {{shot: {n}0, photo: a.jpg, duration: {length}f}}" for n, length in enumerate(lengths)
    )
    board = folder.read(panels(rows, HEAD))
    timeline = lay_out(board)
    measured = pace(board, timeline)
    figure = drawn(timeline, measured)
    figure.draw_without_rendering()
    [axes] = figure.axes
    _, level = axes.transData.transform((0, measured.mean))
    names = {shot.name for shot in timeline.shots}
    boxes = [text.get_window_extent() for text in axes.texts if text.get_text() in names]
    assert len(boxes) == len(lengths)
    assert not [box for box in boxes if box.y0 < level < box.y1]
