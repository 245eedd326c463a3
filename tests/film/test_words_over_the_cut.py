"""Words that go on over the cut: they stand on the picture as long as they are spoken."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from random import Random

import numpy as np
import pytest
from PIL import Image

from animatic.cli import run
from animatic.film import Cache, readback, write_film
from animatic.film.coding import Format, yuv_from_rgb
from animatic.film.keys import FileHashes, Keys
from animatic.film.labels import Caption, labels_of
from animatic.film.segments import segments_of
from animatic.picture import PictureMaker
from animatic.timeline import Timeline
from animatic.timeline.excerpt import excerpt
from animatic.timeline.spans import spans
from tests.boards import BoardFolder, panels

HEAD = "board: 1\npicture: {size: 320x180}\n"
LINE = "dialogue: [{who: Odd, line: The tide is very late., over: next, at: 12f}]"
# 5 words at 160 a minute are 45 frames: from 12 to 57, over the cuts at 24, 34 and 44.
ROWS = f"""
- {{shot: 10, photo: a.jpg, duration: 24f, {LINE}}}
- {{shot: 20, photo: b.jpg, duration: 10f}}
- {{photo: a.jpg, duration: 10f}}
- {{shot: 30, photo: b.jpg, duration: 40f}}
- {{shot: 40, photo: a.jpg, duration: 12f}}
"""
END = 57


@pytest.fixture
def folder(tmp_path: Path) -> BoardFolder:
    made = BoardFolder(tmp_path)
    made.photo("a.jpg", (60, 90, 120), (320, 180))
    made.photo("b.jpg", (120, 90, 60), (320, 180))
    return made


@pytest.fixture
def film(folder: BoardFolder) -> Callable[[str], Timeline]:
    return lambda rows: folder.lay_out(panels(rows, HEAD))


def lettered(timeline: Timeline) -> list[bool]:
    """Whether words stand at the bottom of each frame: the photos are of one colour there."""
    maker = PictureMaker(timeline)
    return [bool(np.ptp(maker.frame(n)[120:], axis=(0, 1)).any()) for n in range(timeline.frames)]


def test_words_stand_to_the_frame_where_the_line_ends(film: Callable[[str], Timeline]) -> None:
    timeline = film(ROWS)
    assert timeline.lines[0].end_frame == END
    assert lettered(timeline) == [n < END for n in range(timeline.frames)]
    assert (44, END) in [(span.start, span.end) for span in spans(timeline)]
    assert [panel.carried != () for panel in timeline.panels] == [False, True, True, True, False]


def test_where_the_panel_is_longer_they_stand_to_its_end(film: Callable[[str], Timeline]) -> None:
    timeline = film(ROWS.replace("24f", "70f"))
    assert lettered(timeline) == [n < 70 for n in range(timeline.frames)]


def test_they_stand_through_a_dissolve_and_over_a_move(film: Callable[[str], Timeline]) -> None:
    rows = ROWS.replace("40f", "40f, transition: {dissolve: 6f}, move: {to: {width: 0.5}}")
    assert lettered(film(rows)) == [n < END for n in range(96)]


def test_the_next_panels_own_words_stand_below(film: Callable[[str], Timeline]) -> None:
    rows = ROWS.replace("40f}", "40f, dialogue: [{who: Pim, line: No., at: 30f}]}")
    timeline = film(rows)
    panel = timeline.panels[3]
    assert [line.who for line in panel.lettered_lines(0)] == ["Odd", "Pim"]
    assert [line.who for line in panel.lettered_lines(END - 44)] == ["Pim"]
    maker = PictureMaker(timeline)
    alone = PictureMaker(film(rows.replace(LINE, "note: x")))
    assert (maker.frame(END) == alone.frame(END)).all()
    assert (maker.frame(END - 1) != alone.frame(END - 1)).any()


def test_no_words_no_spans(folder: BoardFolder) -> None:
    timeline = folder.lay_out(panels(ROWS, f"{HEAD}lettering: {{dialogue: false}}\n"))
    assert END not in [span.end for span in spans(timeline)]
    assert not any(lettered(timeline))


def test_every_caption_stands_on_the_picture(film: Callable[[str], Timeline]) -> None:
    dice = Random(5)
    for _ in range(40):
        rows = []
        for n in range(dice.randint(2, 7)):
            said = ", ".join(
                f"{{who: Odd, line: {' '.join(['so'] * dice.randint(1, 9))},"
                f" over: {dice.choice(('next', 'no'))}}}"
                for _ in range(dice.randint(0, 2))
            )
            said = f", dialogue: [{said}]" if said else ""
            rows.append(f"- {{shot: {n}, photo: a.jpg, duration: {dice.randint(8, 60)}f{said}}}")
        timeline = film("\n".join(rows))
        for span in spans(timeline):
            # The same words stand over all of a span.
            panel = next(each for each in timeline.panels if each.start <= span.start < each.end)
            words = {panel.lettered_lines(n - panel.start) for n in range(span.start, span.end)}
            assert len(words) == 1
        for line in timeline.lines:
            for n in range(line.first_frame, min(line.end_frame, timeline.frames)):
                panel = next(each for each in timeline.panels if each.start <= n < each.end)
                on = [each.number for each in panel.lettered_lines(n - panel.start)]
                # One that begins after its own panel has its words before, and then as well.
                assert line.number in on


def test_a_part_shows_the_words_that_the_whole_shows(film: Callable[[str], Timeline]) -> None:
    timeline = film(ROWS)
    part = excerpt(timeline, "20", "30")
    whole, other = PictureMaker(timeline), PictureMaker(part)
    for n in range(part.frames):
        assert (other.frame(n) == whole.frame(n + 24)).all()
    assert labels_of(part).captions == (Caption("Odd: The tide is very late.", 0, END - 24),)


def test_the_film_its_cache_and_a_still_agree(
    folder: BoardFolder, film: Callable[[str], Timeline], tmp_path: Path
) -> None:
    timeline = film(ROWS)
    maker = PictureMaker(timeline)
    fresh, first, second = (tmp_path / f"{name}.mp4" for name in ("fresh", "first", "second"))
    # The cache is filled by a film in which the line ends at another frame of the same panel.
    write_film(film(ROWS.replace("at: 12f", "at: 14f")), first)
    report = write_film(film(ROWS), second)
    write_film(film(ROWS), fresh, use_cache=False)
    assert second.read_bytes() == fresh.read_bytes()
    assert report.coded == 0
    for n, (_, planes) in enumerate(readback.pictures(second)):
        wanted = yuv_from_rgb(maker.frame(n), (320, 180)).to_ndarray()
        assert np.abs(planes.astype(int) - wanted).mean() < 2, n
    still = tmp_path / "still.png"
    for n in (END - 1, END):
        command = ["still", str(folder.file), "--shot", "30", "--frame", str(n - 44)]
        assert run([*command, "--file", str(still)]) == 0
        with Image.open(still) as picture:
            assert (np.asarray(picture) == maker.frame(n)).all()


def test_keys_follow_the_words_and_not_their_place(
    film: Callable[[str], Timeline], tmp_path: Path
) -> None:
    def keys(rows: str) -> dict[tuple[int, int], str]:
        timeline = film(rows)
        made = Keys(
            timeline, Format(timeline.size, timeline.rate), FileHashes(Cache(tmp_path / "cache"))
        )
        return {(one.start, one.end): made.segment(one) for one in segments_of(timeline)}

    before, other = keys(ROWS), keys(ROWS.replace("late", "slow"))
    # The words are in the keys of the frames over which they stand, and in no others.
    assert {place for place in before if before[place] != other[place]} == {
        (0, 24), (24, 34), (34, 44), (44, END)
    }  # fmt: skip
    # Where the words end is not: the same pictures are only shown for longer.
    later = keys(ROWS.replace("at: 12f", "at: 14f"))
    assert list(later.values()) == list(before.values())
    assert list(later) != list(before)
