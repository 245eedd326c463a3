"""Keys that say how it sounds: what they mean, and what is refused in which words."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from animatic.board import read_board
from animatic.errors import BoardError
from animatic.frames import RATES
from animatic.timeline import Timeline
from animatic.timeline.beats import beat_frames
from animatic.timeline.cues import one_by_one
from tests.boards import HEAD, BoardFolder


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    """A photo, and a tide of 1.9 s."""
    board = BoardFolder(tmp_path)
    board.photo()
    board.tone("tide.wav", 91_200)
    return board


def laid(board: BoardFolder, music: str = "", mix: str = "", rate: str = "24") -> Timeline:
    """Return a film of two shots, 2 s and 4 s long at 24."""
    return board.lay_out(
        f"{HEAD}rate: {rate}\nmix: {{{mix}}}\nmusic: [{music}]\npanels:\n"
        "  - {shot: 10, photo: a.jpg, duration: 48f}\n"
        "  - {shot: 20, photo: a.jpg, duration: 96f}\n"
    )


def refused(board: BoardFolder, music: str = "", mix: str = "") -> str:
    with pytest.raises(BoardError) as fault:
        laid(board, music, mix)
    return str(fault.value).removeprefix(f"{board.file}:")


def test_a_loop_repeats_to_the_end_of_the_film(board: BoardFolder) -> None:
    (cue,) = laid(board, "{file: tide.wav, loop: true}").cues
    # 1.9 s that cross over 0.5 s: a step of 1.4 s is 67 200 samples.
    pieces = [(n * 67_200, n * 67_200 + 91_200) for n in range(4)]
    assert (cue.start, cue.end, cue.pieces) == (0, 288_000, tuple(pieces))


@pytest.mark.parametrize("rate", RATES)
def test_it_ends_with_its_last_shot_at_every_rate(board: BoardFolder, rate: str) -> None:
    (cue,) = laid(board, "{file: tide.wav, loop: true, until: shot 20}", rate=rate).cues
    whole = laid(board, "{file: tide.wav, loop: true}", rate=rate)
    assert whole.cues == (cue,)
    assert cue.end == whole.samples
    assert cue.pieces[-1][1] >= cue.end > cue.pieces[-2][1]


def test_skip_fades_until_and_loop_stand_together(board: BoardFolder) -> None:
    music = (
        "{file: tide.wav, from: shot 20, until: shot 20, loop: true, crossfade: 6f, skip: 12f,"
        " fade_in: 0.25s, fade_out: 3s, level: -4}"
    )
    (cue,) = laid(board, music).cues
    # 1.4 s are left, and cross over 0.25 s: steps of 1.15 s.
    pieces = [(n * 55_200, n * 55_200 + 67_200) for n in range(4)]
    assert (cue.start, cue.end, cue.skip) == (96_000, 288_000, 24_000)
    assert (cue.fade_in, cue.fade_out, cue.level) == (12_000, 144_000, -4.0)
    assert cue.pieces == tuple(pieces)


def test_music_longer_than_its_shots_does_not_repeat(board: BoardFolder) -> None:
    (cue,) = laid(board, "{file: tide.wav, until: shot 10, loop: true, skip: 0.1s}").cues
    assert len(cue.pieces) == 2
    board.tone("long.wav", 400_000)
    (cue,) = laid(board, "{file: long.wav, loop: true}").cues
    assert (cue.pieces, cue.end) == ((), 288_000)


def test_each_repeat_by_itself(board: BoardFolder) -> None:
    (cue,) = laid(board, "{file: tide.wav, loop: true, fade_in: 0.1s, fade_out: 1s}").cues
    repeats = one_by_one(cue)
    assert [(one.start, one.end) for one in repeats] == [
        *((0, 91_200), (67_200, 158_400), (134_400, 225_600), (201_600, 288_000)),
    ]
    assert [one.fade_in for one in repeats] == [4800, 24_000, 24_000, 24_000]
    assert [one.fade_out for one in repeats] == [24_000, 24_000, 24_000, 48_000]
    assert not any(one.pieces for one in repeats)
    (single,) = laid(board, "{file: tide.wav}").cues
    assert one_by_one(single) == [single]


def test_a_loop_too_short_to_cross_is_refused(board: BoardFolder) -> None:
    board.tone("short.wav", 43_200)
    assert refused(board, "{file: short.wav, loop: true}") == (
        "5:33: music[1].loop: a sound of 0.90 s cannot repeat with a crossfade of 0.50 s at"
        " either end; allowed: at least two crossfades long; write crossfade: 0.45s or less, or"
        " take a longer piece"
    )
    assert refused(board, "{file: tide.wav, loop: true, crossfade: 25f}").startswith(
        "5:49: music[1].crossfade: a sound of 1.90 s cannot repeat with a crossfade of 1.04 s"
    )
    # What is skipped is not there to repeat.
    assert "a sound of 0.40 s" in refused(board, "{file: tide.wav, loop: true, skip: 1.5s}")
    assert laid(board, "{file: short.wav, loop: true, crossfade: 0.45s}").cues[0].pieces


def test_a_crossfade_needs_a_loop_and_some_length(board: BoardFolder) -> None:
    assert refused(board, "{file: tide.wav, crossfade: 1s}") == (
        "5:37: music[1].crossfade: a crossfade of 1s on music that does not repeat;"
        " add loop: true, or leave it out"
    )
    assert refused(board, "{file: tide.wav, loop: true, crossfade: 0.009s}") == (
        "5:49: music[1].crossfade: 0.009s is too short to cross without a click;"
        " allowed: 0.01s or more"
    )


def test_where_the_beats_lie_is_said_in_one_way(board: BoardFolder) -> None:
    board.path("beats.txt").write_text("0.5\n1\n", encoding="utf-8")
    assert refused(board, "{file: tide.wav, bpm: 96, beats: beats.txt}") == (
        "5:31: music[1].bpm: bpm beside beats, which lists every beat; leave it out, or beats"
    )
    assert refused(board, "{file: tide.wav, beats: beats.txt, first_beat: 1f}") == (
        "5:56: music[1].first_beat: first_beat beside beats, which lists every beat;"
        " leave it out, or beats"
    )
    assert "music[1].bpm: bpm and first_beat beside beats" in refused(
        board, "{file: tide.wav, bpm: 96, beats: beats.txt, first_beat: 1f}"
    )
    assert laid(board, "{file: tide.wav, beats: beats.txt}").frames == 144


def test_a_loop_fills_its_shots_and_no_finding_says_it_ends_early(board: BoardFolder) -> None:
    for more, found in (("", 1), (", loop: true", 0)):
        text = (
            f"{HEAD}music: [{{file: tide.wav, until: shot 10{more}}}]\n"
            "panels:\n  - {shot: 10, photo: a.jpg, duration: 48f}\n"
        )
        findings = [one for one in board.findings(text) if one.kind == "music"]
        assert len(findings) == found


def test_beats_go_on_with_every_repeat(board: BoardFolder) -> None:
    """120 beats a minute in 1.9 s that cross over 0.5 s: every 1.4 s it begins again.

    Of the beats at 0.1 0.6 1.1 1.6 s the first comes while the repeat before still leads.
    """
    timeline = laid(board, "{file: tide.wav, loop: true, bpm: 120, first_beat: 0.1s}")
    seconds = [Fraction(1, 10)]
    seconds += [Fraction(14 * n + beat, 10) for n in range(4) for beat in (6, 11, 16)]
    expected = [round(24 * at) for at in seconds if at < 6]
    assert beat_frames(read_board(board.file), timeline) == expected


@pytest.mark.parametrize(
    ("written", "loudness"),
    [("", -23.0), ("loudness: -16", -16.0), ("loudness: -27.5", -27.5), ("loudness: none", None)],
)
def test_loudness(board: BoardFolder, written: str, loudness: float | None) -> None:
    assert laid(board, mix=written).mix.loudness == loudness


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("-9.9", "found -9.9; allowed: a number from -40 to -10 (LUFS), or none"),
        ("-023", "found -023; allowed: a number from -40 to -10 (LUFS), or none"),
        ("-41", "found -41; allowed: a number from -40 to -10 (LUFS), or none"),
        ("23", "found 23; allowed: a number from -40 to -10 (LUFS), or none; write -23"),
        (
            "-23 LUFS",
            "-23 LUFS; allowed: a number from -40 to -10 (LUFS), or none; write -23",
        ),
        ("None", "found None; allowed: a number from -40 to -10 (LUFS), or none; write none"),
        ("loud", "found loud; allowed: a number from -40 to -10 (LUFS), or none"),
    ],
)
def test_loudness_that_is_none(board: BoardFolder, written: str, words: str) -> None:
    assert refused(board, mix=f"loudness: {written}") == f"4:17: mix.loudness: {words}"


def test_the_dip_has_three_times(board: BoardFolder) -> None:
    mix = laid(board, mix="duck_attack: 0.25s, duck_hold: 12f, duck_release: 1s").mix
    assert (mix.duck_attack, mix.duck_hold, mix.duck_release) == (12_000, 24_000, 48_000)
    mix = laid(board).mix
    assert (mix.duck_attack, mix.duck_hold, mix.duck_release) == (14_400, 19_200, 28_800)
    assert refused(board, mix="duck_ramp: 0.3s").startswith(
        "4:7: mix: the key duck_ramp is not known; allowed: duck, duck_attack, duck_hold,"
        " duck_release,"
    )
    assert "did you mean duck" in refused(board, mix="duck_ramp: 0.3s")


@pytest.mark.parametrize("pan", ["-1.1", "2", "left"])
def test_a_place_is_from_left_to_right(board: BoardFolder, pan: str) -> None:
    with pytest.raises(
        BoardError, match=r"sounds\[1\]\.pan \(shot 10\): .*allowed: a number from -1 to 1"
    ):
        board.lay_out(
            f"{HEAD}panels:\n  - {{shot: 10, photo: a.jpg, duration: 1s,"
            f" sounds: [{{file: tide.wav, pan: {pan}}}]}}\n"
        )
