"""Films read back by PyAV and by OpenCV: frames, times, pictures, labels, sound."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np
import pytest
from film_stand_ins import Flat, Noise, board, clicks, colour_of, flat, held, silence, strict_hashes

from animatic.film import Progress, readback, write_film
from animatic.film.labels import Caption, Chapter, captions_of
from animatic.frames import RATES, Rate
from animatic.timecode import frames_from_label
from animatic.timeline.model import Line, Timeline, Transition


def write(timeline: Timeline, path: Path, **more) -> Path:
    sources = {"pictures": Flat(timeline), "sound": silence, "use_cache": False, **more}
    write_film(timeline, path, **sources)
    return path


def opencv_frames(path: Path) -> list[np.ndarray]:
    """Return every frame that OpenCV decodes, RGB."""
    capture = cv2.VideoCapture(str(path))
    frames = []
    while (read := capture.read())[0]:
        frames.append(read[1][..., ::-1])
    capture.release()
    return frames


def nearest_panel(frame: np.ndarray, timeline: Timeline) -> int:
    mean = frame.mean(axis=(0, 1))
    apart = [np.abs(mean - colour_of(panel.index)).sum() for panel in timeline.panels]
    assert min(apart) < 12
    return int(np.argmin(apart))


@pytest.mark.parametrize("rate", RATES)
def test_frames_times_and_photos_at_every_rate(rate: str, tmp_path: Path) -> None:
    timeline = board([9, 1, 30, 2, 250, 1, 1, 13], rate=rate)
    path = write(timeline, tmp_path / "film.mp4")
    found = readback.contents(path)
    fps = Rate.named(rate).fps
    assert found.fps == fps
    assert found.times == tuple(n / fps for n in range(timeline.frames))
    assert [time for time, _ in readback.pictures(path)] == list(found.times)
    assert len(readback.samples(path)) == timeline.samples
    wanted = [panel.index for panel in timeline.panels for _ in range(panel.frames)]
    assert [nearest_panel(frame, timeline) for frame in opencv_frames(path)] == wanted


def test_opencv_counts_and_times(tmp_path: Path) -> None:
    timeline = board([9, 1, 30], rate="29.97")
    capture = cv2.VideoCapture(str(write(timeline, tmp_path / "film.mp4")))
    assert capture.get(cv2.CAP_PROP_FRAME_COUNT) == 40
    assert capture.get(cv2.CAP_PROP_FPS) == pytest.approx(30000 / 1001, abs=1e-9)
    for number in range(40):
        assert capture.read()[0]
        assert capture.get(cv2.CAP_PROP_POS_MSEC) == pytest.approx(number * 1001 / 30, abs=0.01)
    assert not capture.read()[0]


@pytest.mark.parametrize("size", [(998, 666), (108, 192), (320, 180), (32, 32), (130, 98)])
def test_sizes(size: tuple[int, int], tmp_path: Path) -> None:
    timeline = board([3, 1, 20], size=size)
    path = write(timeline, tmp_path / "film.mp4", pictures=Noise(timeline))
    assert readback.contents(path).size == size
    held(strict_hashes(path), timeline)
    assert {frame.shape for frame in opencv_frames(path)} == {(size[1], size[0], 3)}


def test_seeking(tmp_path: Path) -> None:
    """Every 240 frames a player can enter; from there each frame is its panel's."""
    timeline = board([700, 30, 1, 300])
    path = write(timeline, tmp_path / "film.mp4")
    assert readback.contents(path).keys == (0, 240, 480, 700, 730, 731, 971)
    capture = cv2.VideoCapture(str(path))
    for number in np.random.default_rng(1).integers(0, timeline.frames, 50):
        capture.set(cv2.CAP_PROP_POS_FRAMES, int(number))
        frame = capture.read()[1][..., ::-1]
        panel = timeline.panels[nearest_panel(frame, timeline)]
        assert panel.start <= number < panel.end


LINES = {
    0: (
        Line(1, "Odd", "The {tide} is late.\\N — “Æ”", 0, 0, 2, 20, None),
        Line(2, "Mara", "It is not.", 0, 0, 15, 24, None),
    ),
    2: (Line(3, "", "<i>Listen.</i>", 0, 0, 40, 40, None),),
}
CAPTIONS = (
    Caption("Odd: The {tide} is late.\\N — “Æ”", 2, 15),
    Caption("Odd: The {tide} is late.\\N — “Æ”\nMara: It is not.", 15, 20),
    Caption("Mara: It is not.", 20, 24),
    Caption("<i>Listen.</i>", 40, 41),
)


@pytest.mark.parametrize("rate", ["24", "23.976", "29.97", "12"])
def test_title_chapters_and_captions(rate: str, tmp_path: Path) -> None:
    timeline = board([24, 10, 30], rate=rate, lines=LINES, title="Низкая вода; “1”")
    found = readback.contents(write(timeline, tmp_path / "film.mp4"))
    assert found.title == "Низкая вода; “1”"
    assert found.chapters == (
        Chapter("10", 0, 24),
        Chapter("20, WS, quay", 24, 34),
        Chapter("30", 34, 64),
    )
    assert found.captions == CAPTIONS


def test_a_film_without_lines_has_no_captions(tmp_path: Path) -> None:
    assert readback.contents(write(board([5]), tmp_path / "film.mp4")).captions == ()


def test_captions_keep_within_the_film() -> None:
    late = (Line(1, "Odd", "Late.", 0, 0, 8, 30, None), Line(2, "Odd", "No.", 0, 0, 10, 30, None))
    assert captions_of(late, 10) == (Caption("Odd: Late.", 8, 10),)


@pytest.mark.parametrize(
    ("rate", "drop", "label"),
    [
        ("24", False, "01:00:00:00"),
        ("25", False, "10:59:59:24"),
        ("23.976", False, "01:00:00:00"),
        ("29.97", False, "00:01:00:00"),
        ("29.97", True, "00:01:00;02"),
        ("59.94", True, "01:00:00;00"),
        ("12", False, "00:00:10:11"),
        ("15", False, "00:00:10:14"),
    ],
)
def test_timecode(rate: str, drop: bool, label: str, tmp_path: Path) -> None:
    start = frames_from_label(label, Rate.named(rate))
    timeline = board([5, 5], rate=rate, start=start, drop=drop)
    assert readback.contents(write(timeline, tmp_path / "film.mp4")).timecode == label


@pytest.mark.parametrize("rate", ["23.976", "24", "25", "29.97"])
def test_a_click_and_a_flash_fall_together(rate: str, tmp_path: Path) -> None:
    """A white frame and a click at its first sample: 0 samples apart.

    The priming that the file's edit list takes off is ffmpeg's 1024 samples of AAC (measured);
    48 kHz samples a frame: 2002 at 23.976, 2000, 1920, 1601.6 at 29.97 (arithmetic).
    """
    fps = Rate.named(rate).fps
    flashes = [5, 30, 47]
    places = [-(-n * 48_000 * fps.denominator // fps.numerator) for n in flashes]
    timeline = board([1] * 60, rate=rate)

    class Flash:
        def frame(self, number: int) -> np.ndarray:
            return flat(255 if number in flashes else 0)

    path = write(timeline, tmp_path / "film.mp4", pictures=Flash(), sound=clicks(*places))
    lit = [time for time, planes in readback.pictures(path) if planes[:96].mean() > 128]
    assert lit == [n / fps for n in flashes]
    loud = np.abs(readback.samples(path)).max(axis=1)
    for time, place in zip(lit, places, strict=True):
        heard = place - 400 + int(np.argmax(loud[place - 400 : place + 400]))
        assert heard == -(-time * 48_000 // 1)


def test_every_kind_of_segment_beside_every_other(tmp_path: Path) -> None:
    timeline = board(
        [30, 30, 20, 1, 14, 260],
        transitions={
            0: Transition(from_black=6),
            1: Transition(dissolve=12),
            2: Transition(to_black=8),
            4: Transition(from_black=4, to_black=4),
            5: Transition(to_black=250),
        },
    )
    path = write(timeline, tmp_path / "film.mp4")
    assert len(strict_hashes(path)) == timeline.frames
    source = Flat(timeline)
    frames = opencv_frames(path)
    assert len(frames) == timeline.frames
    for number, frame in enumerate(frames):
        assert np.abs(frame.mean(axis=(0, 1)) - source.frame(number)[0, 0]).max() < 4, number


def test_progress_and_report(tmp_path: Path) -> None:
    timeline = board([4, 3])
    told: list[Progress] = []
    report = write_film(
        timeline,
        tmp_path / "deep" / "film.mp4",
        pictures=Flat(timeline),
        sound=silence,
        progress=told.append,
    )
    assert told == [Progress(done, 7) for done in range(1, 8)]
    assert (report.frames, report.samples, report.size) == (7, 14_000, (160, 96))
    assert (report.segments, report.coded) == (2, 2)
    assert report.path.stat().st_size == report.bytes
    assert [one.name for one in report.path.parent.iterdir()] == ["film.mp4"]


def test_the_index_stands_in_front(tmp_path: Path) -> None:
    """ISO/IEC 14496-12: moov before mdat, so that a film plays while it loads."""
    data = write(board([5]), tmp_path / "film.mp4").read_bytes()
    boxes, at = [], 0
    while at < len(data):
        boxes.append(data[at + 4 : at + 8])
        at += int.from_bytes(data[at : at + 4], "big")
    assert boxes.index(b"moov") < boxes.index(b"mdat")


def test_sound_is_not_made_long_before_it_is_needed(tmp_path: Path) -> None:
    """Memory does not grow with the film: the coder is about a minute ahead of the pictures."""
    timeline = board([2_400], rate="12")
    made, lead = [0], []

    def sound(timeline: Timeline):
        for block in silence(timeline):
            made[0] += 1  # A second each.
            yield block

    def tell(progress: Progress) -> None:
        lead.append(made[0] - progress.done / 12)

    write(timeline, tmp_path / "film.mp4", sound=sound, progress=tell)
    assert made == [200]
    assert max(lead) < 70
    assert min(lead) > -2


def test_a_long_film_does_not_drift(tmp_path: Path) -> None:
    timeline = board([4_001, 999], rate="29.97")
    path = write(timeline, tmp_path / "film.mp4")
    readback.check_index(path, 5_000, 8_008_000)
    assert readback.contents(path).times[-1] == Fraction(4_999 * 1001, 30_000)
