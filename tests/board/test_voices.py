"""Scratch voices: lines without a recording are spoken, the same every time, and kept.

Most tests stand a small program in for the library; the last ones speak for real, where the
extra voice is installed.
"""

from __future__ import annotations

import importlib.util
import sys
import wave
from importlib.util import find_spec
from pathlib import Path

import pytest
from boards import HEAD, BoardFolder, panels

from animatic.board import voices
from animatic.board.voices import Engine
from animatic.cli import run
from animatic.errors import BoardError

STAND_IN = """
import sys, pathlib, array
library, data, voice, pitch, speed = sys.argv[1:]
text = sys.stdin.buffer.read().decode("utf-8")
log = pathlib.Path(data)
log.write_text((log.read_text() if log.exists() else "") + f"{voice} {pitch} {speed} {text}\\n")
if voice == "none":
    sys.exit("there is no voice none")
# A tenth of a second a letter, behind and before half a second of silence.
samples = [0] * 8000 + [8000, -8000] * (800 * len(text)) + [3] * 8000
sys.stdout.buffer.write((16000).to_bytes(4, "little") + array.array("h", samples).tobytes())
"""
ROWS = """
- shot: 10
  photo: a.jpg
  dialogue:
    - {who: Odd, line: "abcde"}
    - {who: Pim, line: "abc", voice: pim.wav}
- {shot: 20, photo: a.jpg, dialogue: [{who: Pim, line: "[sigh] abcdefgh"}]}
- {shot: 30, photo: a.jpg, dialogue: [{who: Odd, line: "abcde"}]}
"""


class Stage(BoardFolder):
    """A board's folder and what the stand-in was asked to say."""

    @property
    def said(self) -> list[str]:
        log = self.folder / "said.txt"
        return log.read_text().splitlines() if log.exists() else []


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Stage:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = Stage(tmp_path)
    folder.photo()
    folder.tone("pim.wav", 12_000)
    folder.path("worker.py").write_text(STAND_IN)
    engine = Engine("library", str(tmp_path / "said.txt"), "1")
    monkeypatch.setattr(voices, "find_engine", lambda: engine)
    monkeypatch.setattr(voices, "_WORKER", tmp_path / "worker.py")
    folder.write(panels(ROWS))
    return folder


def test_a_spoken_line_has_its_real_length(board: Stage) -> None:
    timeline = board.lay_out(panels(ROWS))
    lengths = [(line.end - line.start, line.scratch) for line in timeline.lines]
    # Half a second for five letters and 10 ms kept at either end; the recording as it is.
    assert lengths == [(24_960, True), (12_000, False), (39_360, True), (24_960, True)]
    cues = [cue for cue in timeline.cues if cue.bus == "dialogue"]
    assert [cue.file == line.voice for cue, line in zip(cues, timeline.lines, strict=True)] == [
        True
    ] * 4
    # 0.3 + 0.52 + 0.3 + 0.25 + 0.5 s is 44.9 frames; a pose is two.
    assert timeline.shots[0].frames == 44


def test_each_line_is_spoken_once_and_kept(board: Stage) -> None:
    first = board.lay_out(panels(ROWS))
    again = board.lay_out(panels(ROWS))
    assert [words.split()[-1] for words in board.said] == ["abcde", "abcdefgh"]
    assert first.lines == again.lines
    files = {line.voice for line in first.lines if line.scratch}
    assert {file.parent for file in files if file} == {board.folder / "cache/animatic/voices"}


def test_words_in_brackets_are_not_spoken(board: Stage) -> None:
    board.lay_out(panels(ROWS))
    assert [words.split(" ", 3)[3] for words in board.said] == ["abcde", "abcdefgh"]


def test_a_line_of_no_words_stays_estimated(board: Stage) -> None:
    text = panels('- {shot: 1, photo: a.jpg, dialogue: [{who: Odd, line: "[sigh] ..."}]}')
    (line,) = board.lay_out(text).lines
    assert (line.voice, line.scratch, board.said) == (None, False, [])


def test_the_cast_says_how_a_speaker_sounds(board: Stage) -> None:
    cast = "cast: {Odd: {voice: en-us+f3, pitch: 35, speed: 150}, Pim: {words_per_minute: 99}}\n"
    board.read(panels(ROWS, HEAD + cast))
    odd, pim = (words.split() for words in board.said)
    assert odd == ["en-us+f3", "35", "150", "abcde"]
    assert (pim[0], pim[2]) == ("en-us", "99")
    # A speaker's own pitch does not depend on who else speaks.
    board.read(panels(ROWS))
    alone = panels('- {shot: 1, photo: a.jpg, dialogue: [{who: Pim, line: "zzz"}]}')
    board.read(alone)
    assert board.said[-1].split()[1] == pim[1]
    assert board.said[2].split()[:3] != ["en-us", pim[1], "160"]


def test_another_voice_pitch_speed_or_version_is_spoken_anew(
    board: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    for cast in ("pitch: 30", "pitch: 31", "speed: 99", "voice: de", "pitch: 30"):
        board.read(panels(ROWS, HEAD + f"cast: {{Odd: {{{cast}}}}}\n"))
    assert sum("abcde" in said.split() for said in board.said) == 4
    newer = Engine("library", str(board.folder / "said.txt"), "2")
    monkeypatch.setattr(voices, "find_engine", lambda: newer)
    board.read(panels(ROWS, HEAD + "cast: {Odd: {pitch: 30}}\n"))
    assert sum("abcde" in said.split() for said in board.said) == 5


def test_a_damaged_file_is_spoken_anew(board: Stage) -> None:
    first = board.lay_out(panels(ROWS)).lines[0].voice
    assert first is not None
    whole = first.read_bytes()
    for damage in (whole[:-100], b"", whole + b"x"):
        first.write_bytes(damage)
        board.lay_out(panels(ROWS))
        assert first.read_bytes() == whole


def test_what_is_kept_is_whole_and_without_silence_at_its_ends(board: Stage) -> None:
    file = board.lay_out(panels(ROWS)).lines[0].voice
    with wave.open(str(file)) as kept:
        assert kept.getparams()[:4] == (1, 2, 16_000, 8320)
        data = kept.readframes(8320)
    assert data[:320] == bytes(320)
    assert data[320:324] == (4000).to_bytes(2, "little") + (-4000).to_bytes(
        2, "little", signed=True
    )


def test_a_voice_that_is_not_known_is_named(board: Stage) -> None:
    head = HEAD + "cast: {Odd: {voice: none}}\n"
    with pytest.raises(BoardError) as fault:
        board.read(panels(ROWS, head))
    assert str(fault.value) == (
        f"{board.file}:3:21: the voice of Odd: there is no voice none; name another, as en-us or"
        " en-us+f3, or write speech: {scratch: false}"
    )


def test_without_scratch_voices_lines_are_silent(board: Stage) -> None:
    timeline = board.lay_out(panels(ROWS, HEAD + "speech: {scratch: false}\n"))
    assert [line.voice and line.voice.name for line in timeline.lines] == [
        None,
        "pim.wav",
        None,
        None,
    ]
    assert board.said == []


def test_the_oldest_files_go_when_there_are_too_many(
    board: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    board.lay_out(panels(ROWS))
    folder = board.folder / "cache/animatic/voices"
    before = set(folder.iterdir())
    monkeypatch.setattr(voices, "_MOST_BYTES", 1000)
    board.lay_out(panels(ROWS.replace("abcde", "xyz")))
    # Those of this board stay, though they are too many.
    assert len(set(folder.iterdir()) - before) == len(list(folder.iterdir())) == 2


def test_check_says_how_to_get_a_voice(
    board: Stage, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    words = (
        "3 lines have no recording: silent, and timed by the words; with the extra voice they"
        " are spoken (uv sync --extra voice), and animatic lines writes the script for an actor\n"
    )
    assert run(["check", str(board.folder)]) == 0
    assert words not in capsys.readouterr().out
    monkeypatch.setattr(voices, "find_engine", lambda: None)
    assert run(["check", str(board.folder)]) == 0
    assert words in capsys.readouterr().out
    one = '- {shot: 1, photo: a.jpg, dialogue: [{who: Odd, line: "abc"}]}'
    board.write(panels(one))
    assert run(["check", str(board.folder)]) == 0
    assert "1 line has no recording: silent, and timed by the words; with the extra voice it" in (
        capsys.readouterr().out
    )
    board.write(panels(one, HEAD + "speech: {scratch: false}\n"))
    assert run(["check", str(board.folder)]) == 0
    assert "recording" not in capsys.readouterr().out


FAR = {
    "he": "אני הולך לים עם הסירה",
    "ru": "Я иду к морю с лодкой",
    "ar": "أنا ذاهبة إلى البحر",
    "el": "Πάω στη θάλασσα",
    "cmn": "我带着船去海边",
    "ja": "ボートで うみへ いきます",
    "th": "ฉันจะไปทะเลด้วยเรือ",
    "en-us": "Ça va, Odd? Где?",
}


def line_of(words: str, who: str = "Odd") -> str:
    return panels(f'- {{shot: 1, photo: a.jpg, dialogue: [{{who: {who}, line: "{words}"}}]}}')


@pytest.mark.parametrize("voice", FAR)
def test_the_letters_of_a_line_choose_the_voice_where_the_cast_names_none(
    board: Stage, voice: str
) -> None:
    board.read(line_of(FAR[voice]))
    text = line_of("Где вода?").replace("board: 1\n", "board: 1\ncast: {Odd: {voice: bg}}\n")
    board.read(text)
    assert [words.split()[0] for words in board.said] == [voice, "bg"]


def test_japanese_with_chinese_letters_is_timed_by_them(board: Stage) -> None:
    (line,) = board.lay_out(line_of("船で海へいきます")).lines
    assert (line.voice, board.said) == (None, [])
    # Eight letters are 4 words at 160 a minute.
    assert line.end - line.start == 4 * 48_000 * 60 // 160


@pytest.fixture
def real(board: Stage, monkeypatch: pytest.MonkeyPatch) -> Stage:
    if find_spec("espeakng_loader") is None:
        pytest.skip("the extra voice is not installed")
    monkeypatch.undo()
    monkeypatch.setenv("XDG_CACHE_HOME", str(board.folder / "cache"))
    fresh = importlib.util.spec_from_file_location("fresh_voices", voices.__file__)
    assert fresh is not None
    assert fresh.loader is not None
    module = importlib.util.module_from_spec(fresh)
    monkeypatch.setitem(sys.modules, "fresh_voices", module)
    fresh.loader.exec_module(module)
    monkeypatch.setattr(voices, "find_engine", module.find_engine)
    return board


SPOKEN = """
- shot: 10
  photo: a.jpg
  dialogue:
    - {who: Odd, line: The tide is late.}
    - {who: Pim, line: Perhaps it forgot the way.}
"""


def test_real_voices_sound_the_same_every_time(
    real: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    heard = []
    for name in ("one", "two", "three"):
        monkeypatch.setenv("XDG_CACHE_HOME", str(real.folder / name))
        timeline = real.lay_out(panels(SPOKEN))
        heard.append([line.voice.read_bytes() for line in timeline.lines if line.voice])
        assert len(heard[-1]) == 2
    assert heard[0] == heard[1] == heard[2]
    assert heard[0][0] != heard[0][1]


LONG = """
- shot: 10
  photo: a.jpg
  dialogue:
    - who: Odd
      line: >-
        It has not rung since your mother was small, and nobody but me remembers how it sounded
        when the boats came home in the morning
"""


def test_a_real_line_takes_about_as_long_as_people_take(real: Stage) -> None:
    # 24 words at the 160 a minute that lines are estimated with.
    (line,) = real.lay_out(panels(LONG)).lines
    assert (line.end - line.start) / 48_000 == pytest.approx(24 * 60 / 160, rel=0.35)
    (slow,) = real.lay_out(panels(LONG, HEAD + "cast: {Odd: {speed: 90}}\n")).lines
    assert slow.end - slow.start > 1.3 * (line.end - line.start)


def test_a_real_unknown_voice_is_named(real: Stage) -> None:
    with pytest.raises(BoardError) as fault:
        real.read(panels(SPOKEN, HEAD + "cast: {Pim: {voice: xx-none}}\n"))
    assert "the voice of Pim: there is no voice xx-none; name another" in str(fault.value)


def test_any_characters_can_be_spoken(real: Stage) -> None:
    rows = panels('- {shot: 1, photo: a.jpg, dialogue: [{who: Odd, line: "Größe <b> & 3 € 鯨"}]}')
    assert real.lay_out(rows).lines[0].scratch


@pytest.mark.parametrize("voice", [voice for voice in FAR if voice != "en-us"])
def test_a_real_line_in_other_letters_is_not_spelt_out(real: Stage, voice: str) -> None:
    (line,) = real.lay_out(line_of(FAR[voice])).lines
    # Seven words at most: at 100 a minute they take 4.2 s. Spelt out they take 3.8 to 20.
    assert 0.8 < (line.end - line.start) / 48_000 < 3.6
