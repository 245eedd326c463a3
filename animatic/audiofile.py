"""A sound file as it is: its exact length, its rate, its channels, its samples.

The board needs the lengths of sounds before anything is mixed, so that this is ground floor;
`animatic.sound` makes 48 kHz of what is read here. Lengths are counted by decoding: headers
are estimates in too many formats. Encoder delay is taken off where the file states it (mp3
with a LAME or Lavc header, mp4/m4a edit lists, opus, mkv); raw .aac and .ac3 state none, and
read as late as their encoder made them.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from fractions import Fraction
from itertools import chain
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from animatic.audiofacts import AudioFacts
from animatic.errors import MediaError
from animatic.frames import decimal, round_half_up
from animatic.mediafile import Opened, open_container

__all__ = ["LOUDEST", "READ", "AudioFacts", "AudioFile", "measure"]

READ = "wav, aiff, flac, mp3, m4a, ogg or opus"
"""What an error message offers; see `_FORMATS` for all that is read."""

LOUDEST = 1000.0
"""The largest sample (1.0 is full scale) that is taken for sound: 60 dB over full scale."""

_FORMATS = (
    "aac,ac3,aiff,amr,ape,asf,au,avi,caf,dts,eac3,flac,flv,matroska,mov,mp3,mpc,mpc8,mpeg,"
    "mpegts,ogg,tta,voc,w64,wav,wv"
)
# Never playlists or lists of other files: a board's sound is the file that it names.
_STATES_LENGTH = {"aiff", "au", "caf", "flac", "mov", "ogg", "w64", "wav"}
_TRIMMED_TO_LENGTH = {"mov", "mp3", "ogg"}
_MOST_FILLING = 4096
_MOST_UNNAMED = 8
_SCALE = {"u8": 128.0, "s16": 32_768.0, "s32": 2.0**31}
_FLOATS = ("flt", "dbl")

_BY_NUMBER = {
    1: "FC",
    2: "FL FR",
    3: "FL FR FC",
    4: "FL FR BL BR",
    5: "FL FR FC BL BR",
    6: "FL FR FC LFE BL BR",
    7: "FL FR FC LFE BC SL SR",
    8: "FL FR FC LFE BL BR SL SR",
}
"""Speakers by number of channels where the file names none (order of WAVEFORMATEXTENSIBLE)."""


class AudioFile(Opened):
    """A sound file opened for one reading from its first sample to its last.

    `rate` is in Hz; `speakers` names each channel (FL, FR, FC, LFE, BL ...). MediaError says
    in words what is wrong with a file that cannot be read, when it is opened or, for damage
    further in, when that place is reached; it leaves it to the caller to name the file.

    >>> from tempfile import TemporaryDirectory
    >>> import wave
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder, "tick.wav")
    ...     with wave.open(str(path), "wb") as file:
    ...         file.setparams((1, 2, 8000, 0, "NONE", ""))
    ...         file.writeframes(bytes([0, 64]) * 5)
    ...     with AudioFile(path) as sound:
    ...         print(sound.rate, sound.speakers, [block.shape for block in sound.blocks()])
    8000 ('FC',) [(5, 1)]
    """

    def __init__(self, path: Path | str) -> None:
        self.path = Path(path)
        _refuse_at_sight(self.path)
        try:
            self._container = open_container(self.path, _FORMATS)
        except av.error.FFmpegError as error:
            raise _unreadable(self.path, error) from None
        try:
            self._open_stream()
        except BaseException:
            self.close()
            raise

    def _open_stream(self) -> None:
        if not self._container.streams.audio:
            raise MediaError(f"the file holds no sound; allowed: {READ}")
        self._stream = self._container.streams.audio[0]
        decoded = self._decoded()
        first = next(decoded, None)
        if first is None:
            raise MediaError("the file holds no sound, its length is 0")
        self.rate: int = first.sample_rate
        self.speakers: tuple[str, ...] = _speakers(self.path, first)
        self._format = first.format.name
        if self._format.removesuffix("p") not in (*_SCALE, *_FLOATS):
            raise MediaError(
                f"its samples are of a kind that is not read ({self._format}); "
                "allowed: 8 to 32 bit whole numbers, 32 or 64 bit floats"
            )
        self._frames = chain([first], decoded)
        self._stated = self._stated_length()

    def close(self) -> None:
        """Close the file; closing twice does no harm."""
        self._container.close()

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        """Yield the samples in order, float32 (samples, channels), full scale at 1.0.

        Samples that are no numbers (NaN, infinite) are silenced. MediaError for damage, for a
        file that breaks off before its stated length, and for one that changes its format
        half way.
        """
        given = 0
        held: list[NDArray[np.float32]] = []
        end = self._stated if self._container_kind in _TRIMMED_TO_LENGTH else None
        for frame in self._frames:
            block = self._samples(frame)
            # The filling of the last coded block lies beyond the stated end, and the reader
            # does not always take it off. More than a block or two is no filling: then the
            # stated length is not to be trusted.
            inside = len(block) if end is None else min(len(block), max(0, end - given))
            given += inside
            if inside:
                yield block[:inside]
            if inside < len(block):
                held.append(block[inside:])
                if sum(map(len, held)) > _MOST_FILLING:
                    end = None
                    given += sum(map(len, held))
                    yield from held
                    held = []
        self._refuse_if_short(given)

    @property
    def _container_kind(self) -> str:
        return str(self._container.format.name).split(",")[0]

    def _decoded(self) -> Iterator[av.AudioFrame]:
        """Yield decoded frames; undecodable bytes are let pass only at the very end."""
        done = 0
        damaged_at: int | None = None
        rate = 0
        first_fault: Exception | None = None
        packets = self._container.demux(self._stream)
        while True:
            try:
                packet = next(packets, None)
                if packet is None:
                    break
                frames = packet.decode()
            except (av.error.DecoderNotFoundError, av.error.PatchWelcomeError) as error:
                raise _unreadable(self.path, error) from None
            except av.error.FFmpegError as error:
                first_fault = first_fault or error
                damaged_at = done if damaged_at is None else damaged_at
                continue
            for frame in frames:
                if damaged_at is not None and rate:
                    seconds = decimal(Fraction(damaged_at, rate), 2)
                    raise MediaError(f"the file is damaged at {seconds} s")
                damaged_at = None
                rate = frame.sample_rate
                done += frame.samples
                if frame.samples:
                    yield frame
        if first_fault and not done:
            raise _unreadable(self.path, first_fault)

    def _samples(self, frame: av.AudioFrame) -> NDArray[np.float32]:
        if (frame.sample_rate, frame.format.name, len(frame.layout.channels)) != (
            self.rate,
            self._format,
            len(self.speakers),
        ):
            raise MediaError(
                "its sample rate, sample format or number of channels changes half way"
            )
        raw = frame.to_ndarray()
        block = raw.T if frame.format.is_planar else raw.reshape(-1, len(self.speakers))
        kind = self._format.removesuffix("p")
        if kind not in _SCALE:
            return self._made_harmless(block.astype(np.float64))
        whole = block.astype(np.float32)
        if kind == "u8":
            whole -= 128.0
        return whole / np.float32(_SCALE[kind])

    def _made_harmless(self, block: NDArray[np.float64]) -> NDArray[np.float32]:
        finite = np.where(np.isfinite(block), block, 0.0)
        peak = float(np.abs(finite).max(initial=0.0))
        if peak > LOUDEST:
            raise MediaError(
                f"it holds a sample {peak:.3g} times full scale, which is damage and "
                f"not sound; allowed: up to {LOUDEST:.0f}"
            )
        return finite.astype(np.float32)

    def _stated_length(self) -> int | None:
        """Return the length that the header states (samples), where it is no estimate."""
        stream = self._stream
        kind = self._container_kind
        if kind == "mp3":
            return _mp3_length(self.path, self.rate)
        if kind == "wav" and (length := _wav_length(self.path)) is not None:
            return length
        if kind == "matroska" and len(self._container.streams) == 1:
            # In microseconds; it may include the encoder's delay, which is under 50 ms.
            return round_half_up(Fraction((self._container.duration or 0) * self.rate, 1_000_000))
        if kind not in _STATES_LENGTH or not stream.duration or not stream.time_base:
            return None
        return round_half_up(stream.duration * Fraction(stream.time_base) * self.rate)

    def _refuse_if_short(self, given: int) -> None:
        # 50 ms: an encoder may count its own delay or filling into the length.
        if self._stated is None or self._stated - given <= self.rate // 20:
            return
        raise MediaError(
            f"the file breaks off at {decimal(Fraction(given, self.rate), 2)} s of the "
            f"{decimal(Fraction(self._stated, self.rate), 2)} s that its header states"
        )


def measure(path: Path | str) -> AudioFacts:
    """Return the exact length, the rate and the channels of a sound file, by decoding it.

    MediaError, in words that do not name the file, when it is missing, empty, damaged, cut
    short or no sound.
    """
    with AudioFile(path) as sound:
        frames = sum(len(block) for block in sound.blocks())
        return AudioFacts(frames, sound.rate, len(sound.speakers))


def _refuse_at_sight(path: Path) -> None:
    if path.is_dir():
        raise MediaError(f"this is a folder; allowed: {READ}")
    try:
        with path.open("rb") as file:
            head = file.read(4096)
    except FileNotFoundError:
        raise MediaError("the file is not there") from None
    except OSError as error:
        raise MediaError(f"the file cannot be opened ({error.strerror or error})") from None
    if not head:
        raise MediaError("the file is empty")
    if head[:4] == b"RIFX":  # FFmpeg takes some of these for little-endian ones.
        raise MediaError(f"its form (a big-endian wav) is not read; allowed: {READ}")


def _unreadable(path: Path, error: Exception) -> MediaError:
    with path.open("rb") as file:
        words = file.read(4096).decode("utf-8", "replace")
    readable = sum(sign != "\ufffd" and (sign.isprintable() or sign.isspace()) for sign in words)
    if readable > 0.95 * len(words):
        return MediaError(f"this is text and no sound; allowed: {READ}")
    if isinstance(error, av.error.PatchWelcomeError | av.error.DecoderNotFoundError):
        return MediaError(f"its form is not read; allowed: {READ}")
    return MediaError(f"the file is damaged or no sound; allowed: {READ}")


def _speakers(path: Path, frame: av.AudioFrame) -> tuple[str, ...]:
    names = tuple(channel.name for channel in frame.layout.channels)
    if all(name not in ("", "NONE") for name in names):
        return names
    if len(names) > _MOST_UNNAMED:
        raise MediaError(
            f"it has {len(names)} channels without names; allowed: up to {_MOST_UNNAMED}; "
            "take out the ones you need"
        )
    return tuple(_BY_NUMBER[len(names)].split())


def _wav_length(path: Path) -> int | None:
    """Return the samples a channel that a RIFF header states; None for an open length.

    The reader cuts a stated length down to what is there, so that a file cut short would
    pass for a whole one.
    """
    with path.open("rb") as file:
        if file.read(4) != b"RIFF":
            return None
        file.seek(8, os.SEEK_CUR)
        align = 0
        while len(head := file.read(8)) == 8:
            size = int.from_bytes(head[4:], "little")
            if head[:4] == b"fmt ":
                align = int.from_bytes(file.read(16)[12:14], "little")
                file.seek(size - 16, os.SEEK_CUR)
            elif head[:4] == b"data":
                return size // align if align and size not in (0, 0xFFFFFFFF) else None
            else:
                file.seek(size, os.SEEK_CUR)
            if size % 2:
                file.seek(1, os.SEEK_CUR)
    return None


def _mp3_length(path: Path, rate: int) -> int | None:
    """Return the samples that an mp3's Xing or Info header states; None where there is none.

    The header's place and fields, and those of the encoder's delay and filling behind it, are
    as LAME and FFmpeg write them.
    """
    with path.open("rb") as file:
        head = file.read(10)
        tagged = head[:3] == b"ID3"
        if tagged:
            size = sum((byte & 127) << 7 * (3 - i) for i, byte in enumerate(head[6:10]))
        file.seek(10 + size if tagged else 0)
        start = file.read(4096)
    at = max(start.find(b"Xing"), start.find(b"Info"))
    if at < 0 or not start[at + 7] & 1:
        return None
    coded = int.from_bytes(start[at + 8 : at + 12], "big") * (1152 if rate >= 32_000 else 576)
    delays = 0
    if start[at + 7] & 15 == 15 and start[at + 120 : at + 122] in (b"LA", b"La", b"L3"):
        field = int.from_bytes(start[at + 141 : at + 144], "big")
        delays = (field >> 12) + (field & 0xFFF)
    return coded - delays
