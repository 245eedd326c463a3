"""Scratch voices: lines without a recording, spoken by espeak-ng's library if it is there.

The library comes in the wheel of the extra `voice`. It runs in a process of its own, one at a
time and one for each line: a second line in one process would sound a little different every
time. What was spoken is kept in the user's cache folder under all that decides it; deleting it
costs time and nothing else.
"""

from __future__ import annotations

import array
import hashlib
import json
import re
import subprocess
import sys
import unicodedata
import wave
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from importlib.metadata import version
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path

from animatic.board.keys.rule import Absent
from animatic.board.keys.schema import BoardContent, CastEntry
from animatic.board.text.yamltree import Tree
from animatic.errors import MachineError, Problem
from animatic.files import write_beside
from animatic.frames import round_half_up

__all__ = [
    "VOICES",
    "Engine",
    "Spoken",
    "find_engine",
    "silent_lines",
    "speak_lines",
    "voice_problems",
]

VOICES = "voices"
"""The folder of spoken lines in the user's cache folder."""
_WORKER = Path(__file__).with_name("speaking_worker.py")
_VERSION = 1
"""Grows when what is spoken for the same words changes."""
_STAGE_DIRECTION = re.compile(r"\[[^\]]*\]")
_SILENT = 100
"""Samples up to this (of 32 768) at either end are no part of the line: -50 dB."""
_KEPT_SECONDS = 0.01
_PATIENCE = 60
_MOST_BYTES = 200_000_000
_SLOWEST, _FASTEST = 80, 450
DEFAULT_VOICE = "en-us"
_VOICE_OF = {
    "ARABIC": "ar",
    "ARMENIAN": "hy",
    "BENGALI": "bn",
    "CJK": "cmn",
    "CYRILLIC": "ru",
    "DEVANAGARI": "hi",
    "GEORGIAN": "ka",
    "GREEK": "el",
    "HANGUL": "ko",
    "HEBREW": "he",
    "HIRAGANA": "ja",
    "KATAKANA": "ja",
    "TAMIL": "ta",
    "THAI": "th",
}
"""The voice for a script, by the first word of its letters' names in Unicode: another voice
spells such letters out one by one, in six times as long."""


@dataclass(frozen=True, slots=True)
class Engine:
    """Where the library and its data are, and which version they are of."""

    library: str
    data: str
    version: str


@dataclass(frozen=True, slots=True)
class Spoken:
    """The files of the lines that were spoken, by speaker and words, and what went wrong."""

    files: dict[tuple[str, str], Path] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)
    """In words, by speaker."""


def find_engine() -> Engine | None:
    """Return where the library is; None without the extra `voice`."""
    if find_spec("espeakng_loader") is None:
        return None
    import espeakng_loader

    library, data = espeakng_loader.get_library_path(), espeakng_loader.get_data_path()
    return Engine(str(library), str(data), version("espeakng-loader"))


def speak_lines(content: BoardContent) -> Spoken:
    """Speak every line that has no recording; nothing where the engine is not there.

    A voice that the library does not know, or words that it cannot say, leave the line silent
    and stand in `faults`.
    """
    spoken = Spoken()
    wanted = list(_wanted(content))
    engine = find_engine() if wanted else None
    if engine is None:
        return spoken
    folder = _folder()
    for who, line in wanted:
        if who in spoken.faults:
            continue
        words = " ".join(_STAGE_DIRECTION.sub(" ", line).split())
        if not any(sign.isalnum() for sign in words):
            continue
        manner = _manner(content, who, words)
        if manner is None:
            continue
        file = folder / f"{_key(engine, manner, words)}.wav"
        if not _is_whole(file):
            try:
                write_beside(file, _spoken(engine, manner, words))
            except (_Refused, MachineError) as fault:
                spoken.faults[who] = str(fault)
                continue
        spoken.files[who, line] = file
    _keep_small(folder, set(spoken.files.values()))
    return spoken


def _wanted(content: BoardContent) -> Iterator[tuple[str, str]]:
    """Yield speaker and words of each line to be spoken, each once."""
    seen: set[tuple[str, str]] = set()
    for panel in content.panels if content.speech.scratch else ():
        for line in panel.dialogue:
            is_whole = not isinstance(line.who, Absent) and not isinstance(line.line, Absent)
            if line.voice is None and is_whole and (line.who, line.line) not in seen:
                seen.add((line.who, line.line))
                yield line.who, line.line


def silent_lines(content: BoardContent) -> str:
    """Return how to hear the lines that are silent now; an empty text where there are none."""
    count = sum(line.voice is None for panel in content.panels for line in panel.dialogue)
    if not count or not content.speech.scratch or find_engine() is not None:
        return ""
    lines, spoken = ("1 line has", "it is") if count == 1 else (f"{count} lines have", "they are")
    return (
        f"{lines} no recording: silent, and timed by the words; with the extra voice {spoken}"
        " spoken (uv sync --extra voice), and animatic lines writes the script for an actor"
    )


def voice_problems(spoken: Spoken, content: BoardContent, tree: Tree) -> Iterator[Problem]:
    """Yield a problem for each speaker whose voice could not be had."""
    for who, fault in spoken.faults.items():
        has_voice = who in content.cast and content.cast[who].voice is not None
        key = ("cast", who, "voice") if has_voice else ("panels",)
        hint = "name another, as en-us or en-us+f3, or write speech: {scratch: false}"
        yield Problem(tree.place(key), f"the voice of {who}", fault, hint=hint)


@dataclass(frozen=True, slots=True)
class _Manner:
    """How a speaker sounds: espeak-ng's voice, pitch (0 to 99) and words a minute."""

    voice: str
    pitch: int
    speed: int


def _manner(content: BoardContent, who: str, words: str) -> _Manner | None:
    """Return how a speaker says a line; None where no voice can be trusted with it."""
    cast = content.cast.get(who, CastEntry())
    pace = cast.words_per_minute or content.speech.words_per_minute
    speed = cast.speed or min(_FASTEST, max(_SLOWEST, round_half_up(pace)))
    # A pitch of the speaker's own, which stays when other speakers come and go.
    own = 25 + hashlib.sha256(who.encode("utf-8", "replace")).digest()[0] % 50
    pitch = own if cast.pitch is None else cast.pitch
    voice = cast.voice or _voice_for(words)
    return _Manner(voice, pitch, speed) if voice else None


def _voice_for(words: str) -> str:
    """Return the voice for the script that most letters are of; none where it would spell them.

    >>> _voice_for("Where is the water?"), _voice_for("Где вода?"), _voice_for("ボート で")
    ('en-us', 'ru', 'ja')
    """
    if words.isascii():
        return DEFAULT_VOICE
    scripts = Counter(unicodedata.name(c, "?").split()[0] for c in words if c.isalpha())
    if scripts["CJK"] and scripts["HIRAGANA"] + scripts["KATAKANA"]:
        return ""  # Japanese, of which the library knows the kana alone.
    most = max(scripts, key=lambda script: scripts[script], default="LATIN")
    return _VOICE_OF.get(most, DEFAULT_VOICE)


def _folder() -> Path:
    import platformdirs

    folder = platformdirs.user_cache_path("animatic") / VOICES
    with suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
    return folder


def _key(engine: Engine, manner: _Manner, words: str) -> str:
    parts = [_VERSION, engine.version, manner.voice, manner.pitch, manner.speed, words]
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:32]


def _is_whole(file: Path) -> bool:
    """Whether a kept file is there and as long as it says."""
    try:
        with wave.open(str(file), "rb") as kept:
            return file.stat().st_size == 44 + 2 * kept.getnframes() > 44
    except (OSError, EOFError, wave.Error):
        return False


class _Refused(Exception):
    """The library did not speak."""


def _spoken(engine: Engine, manner: _Manner, words: str) -> bytes:
    """Return a WAV of the words, without the silence at its ends."""
    command = [sys.executable, "-I", "-S", str(_WORKER), engine.library, engine.data]
    command += [manner.voice, str(manner.pitch), str(manner.speed)]
    try:
        done = subprocess.run(
            command, input=words.encode("utf-8", "replace"), capture_output=True, timeout=_PATIENCE
        )
    except subprocess.TimeoutExpired:
        raise _Refused(f"the voice {manner.voice} took over {_PATIENCE} s for one line") from None
    except OSError as fault:
        raise _Refused(f"the voice could not be started ({fault.strerror})") from None
    if done.returncode or len(done.stdout) < 4:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        raise _Refused(said[-1] if said else f"the voice {manner.voice} broke off")
    rate = int.from_bytes(done.stdout[:4], "little")
    samples = array.array("h", done.stdout[4:])
    heard = _trimmed(samples, rate)
    if not heard:
        raise _Refused(f"the voice {manner.voice} says nothing for these words: {words[:40]}")
    return _as_wav(heard, rate)


def _trimmed(samples: array.array[int], rate: int) -> array.array[int]:
    loud = [at for at, value in enumerate(samples) if abs(value) > _SILENT]
    if not loud:
        return samples[:0]
    pad = int(_KEPT_SECONDS * rate)
    line = samples[max(0, loud[0] - pad) : loud[-1] + 1 + pad]
    # The library speaks at -16 to -18 LUFS; at half of that it sits beside recorded lines.
    return array.array("h", (value // 2 for value in line))


def _as_wav(samples: array.array[int], rate: int) -> bytes:
    if sys.byteorder == "big":
        samples.byteswap()
    made = BytesIO()
    with wave.open(made, "wb") as file:
        file.setparams((1, 2, rate, 0, "NONE", ""))
        file.writeframes(samples.tobytes())
    return made.getvalue()


def _keep_small(folder: Path, used: set[Path]) -> None:
    """Remove the oldest files, but none that is used, where there are too many."""
    with suppress(OSError):
        kept = [(file.stat(), file) for file in folder.glob("*.wav")]
        size = sum(state.st_size for state, _ in kept)
        for state, file in sorted(kept, key=lambda item: item[0].st_mtime_ns):
            if size <= _MOST_BYTES:
                return
            if file not in used:
                size -= state.st_size
                file.unlink(missing_ok=True)
