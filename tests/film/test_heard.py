"""How loud a film is, kept in the cache: measured once, and again when the sound changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest

from animatic.film import Cache, film_programme, write_film
from animatic.sound import find_programme
from animatic.timeline import Timeline
from animatic.timeline.excerpt import excerpt
from tests.boards import HEAD, BoardFolder
from tests.sound.programmes import ebur128


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    board = BoardFolder(tmp_path / "film")
    board.photo()
    board.tone("a.wav", 96_000, height=0.02)
    return board


@pytest.fixture
def measured(monkeypatch: pytest.MonkeyPatch) -> list[Timeline]:
    """The films that were measured."""
    found: list[Timeline] = []

    def measure(timeline: Timeline) -> object:
        found.append(timeline)
        return find_programme(timeline)

    monkeypatch.setattr("animatic.sound.find_programme", measure)
    return found


def laid(board: BoardFolder, mix: str = "", at: str = "0s") -> Timeline:
    return board.lay_out(
        f"{HEAD}mix: {{{mix}}}\npanels:\n"
        f"  - {{shot: 10, photo: a.jpg, duration: 24f, sounds: [{{file: a.wav, at: {at}}}]}}\n"
        "  - {shot: 20, photo: a.jpg, duration: 36f}\n"
    )


def test_a_film_is_measured_once(
    board: BoardFolder, measured: list[Timeline], tmp_path: Path
) -> None:
    store, timeline = Cache(tmp_path / "cache"), laid(board)
    report = write_film(timeline, tmp_path / "a.mp4", store=store)
    assert report.programme == find_programme(timeline)
    assert report.programme.film.integrated == pytest.approx(-23, abs=0.05)
    # To the last bit, through the cache and back.
    assert film_programme(timeline, store) == report.programme
    again = write_film(timeline, tmp_path / "b.mp4", store=store)
    assert again.programme == report.programme
    assert (tmp_path / "a.mp4").read_bytes() == (tmp_path / "b.mp4").read_bytes()
    # A part has the loudness of its whole.
    assert film_programme(excerpt(timeline, "20", "20"), store) == report.programme
    assert len(measured) == 1


@pytest.mark.parametrize(
    "change",
    [
        lambda board: laid(board, "loudness: -16"),
        lambda board: laid(board, "loudness: none"),
        lambda board: laid(board, "effects: -3"),
        lambda board: laid(board, at="0.5s"),
        lambda board: board.tone("a.wav", 96_000, height=0.03) and laid(board),
    ],
)
def test_it_is_measured_again_when_the_sound_changes(
    change: Callable[[BoardFolder], Timeline],
    board: BoardFolder,
    measured: list[Timeline],
    tmp_path: Path,
) -> None:
    store = Cache(tmp_path / "cache")
    write_film(laid(board), tmp_path / "a.mp4", store=store)
    report = write_film(change(board), tmp_path / "b.mp4", store=store)
    assert len(measured) == 2
    anew = write_film(change(board), tmp_path / "c.mp4", use_cache=False)
    assert report.programme == anew.programme
    assert (tmp_path / "b.mp4").read_bytes() == (tmp_path / "c.mp4").read_bytes()


def test_a_film_with_other_sound_has_no_programme(
    board: BoardFolder, measured: list[Timeline], tmp_path: Path
) -> None:
    from tests.film.film_stand_ins import silence

    report = write_film(laid(board), tmp_path / "a.mp4", sound=silence, use_cache=False)
    assert report.programme is None
    assert measured == []


def test_other_pictures_do_not_change_how_loud_it_is(
    board: BoardFolder, measured: list[Timeline], tmp_path: Path
) -> None:
    """Pictures may change: the sound's key knows nothing of them."""
    store, timeline = Cache(tmp_path / "cache"), laid(board)
    film_programme(timeline, store)
    film_programme(replace(timeline, size=(320, 180), title="Low Tide"), store)
    assert len(measured) == 1


def test_the_sound_of_the_film_file_is_as_loud_as_it_says(
    board: BoardFolder, tmp_path: Path
) -> None:
    """Read back from the MP4, after coding, by FFmpeg's ebur128: within 0.2 LU of the target."""
    random = np.random.default_rng(1)
    # Coding leaves out what nobody hears, the top of white noise; this has little up there.
    dull = np.convolve(random.standard_normal(240_000), np.hanning(24), "same")
    noise = np.rint(600 * dull / dull.std()).clip(-32_000, 32_000)
    board.wave("a.wav", noise.astype("<i2"), 48_000)
    timeline = board.lay_out(
        f"{HEAD}music: [{{file: a.wav, loop: true}}]\n"
        "panels:\n  - {shot: 10, photo: a.jpg, duration: 8s}\n"
    )
    report = write_film(timeline, tmp_path / "a.mp4", use_cache=False)
    with av.open(str(tmp_path / "a.mp4")) as film:
        heard = np.concatenate([frame.to_ndarray() for frame in film.decode(audio=0)], axis=1)
    read = ebur128(heard.T)
    assert read["I"] == pytest.approx(-23, abs=0.2)
    assert report.programme is not None
    assert 20 * np.log10(read["true_peak"]) == pytest.approx(report.programme.film.true_peak, abs=1)
