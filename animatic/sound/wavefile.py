"""Writing WAV: 24-bit PCM at 48 kHz, in blocks, with the chunk that makes it a Broadcast Wave.

Sources: EBU Tech 3285 (2011, version 2 of the `bext` chunk, with the loudness of EBU R 128);
RIFF and its `fmt ` chunk as in its annexes. The file is written beside its target under a
temporary name and renamed when it is whole.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from animatic.errors import InternalError, MediaError
from animatic.files import opened_beside
from animatic.frames import SAMPLE_RATE
from animatic.sound.loudness import Loudness, Meter

__all__ = ["Broadcast", "write_wav"]

_WIDTH = 3
"""Bytes a sample."""
_FULL = 1 << 23
_BEXT = "<256s32s32s10s8sIIH64s5h180s"
_NOT_MEASURED = 0x7FFF
_MOST_BYTES = 0xFFFF_FFFF


@dataclass(frozen=True, slots=True)
class Broadcast:
    """What the `bext` chunk says besides the loudness, which is measured while writing.

    Dates stay empty: the same sound gives the same bytes.
    """

    description: str
    originator: str
    time_reference: int
    """Samples from midnight to the first one."""
    history: str = f"A=PCM,F={SAMPLE_RATE},W=24,M=stereo,T=animatic"


def write_wav(
    path: Path,
    blocks: Iterable[NDArray[np.floating]],
    samples: int,
    channels: int,
    broadcast: Broadcast | None = None,
) -> Loudness:
    """Write `samples` samples a channel, given in blocks (samples, channels), full scale 1.0.

    Return the loudness as measured. MediaError where the sound would be clipped or is too
    long for a WAV, MachineError where it cannot be written: the old file is then as it was.
    """
    data = samples * channels * _WIDTH
    if data > _MOST_BYTES - 4096:
        raise MediaError(f"{path}: {samples / SAMPLE_RATE / 3600:.1f} h are too long for one WAV")
    meter = Meter(channels)
    with opened_beside(path) as file:
        file.write(_head(data, channels, broadcast, None))
        written = 0
        for block in blocks:
            meter.push(block)
            written += len(block)
            file.write(_coded(path, block))
        if written != samples:
            raise InternalError(f"{path}: {written} samples given, {samples} announced")
        file.write(b"\0" * (data % 2))
        measured = meter.read()
        file.seek(0)
        file.write(_head(data, channels, broadcast, measured))
    return measured


def _coded(path: Path, block: NDArray[np.floating]) -> bytes:
    """Return samples as 24-bit little-endian whole numbers, halves to even."""
    whole = np.rint(block.astype(np.float64) * _FULL)
    # Only a full-scale sample of +1.0 has no number of its own; it loses a 2**23rd part.
    top = float(np.abs(whole).max(initial=0.0))
    if top > _FULL:
        over = 20.0 * np.log10(top / _FULL)
        raise MediaError(f"{path}: it would be clipped, {over:.1f} dB over full scale")
    small = np.minimum(whole, _FULL - 1).astype("<i4")
    return small.reshape(-1, 1).view(np.uint8)[:, :_WIDTH].tobytes()


def _head(
    data: int, channels: int, broadcast: Broadcast | None, measured: Loudness | None
) -> bytes:
    align = channels * _WIDTH
    form = struct.pack("<HHIIHH", 1, channels, SAMPLE_RATE, SAMPLE_RATE * align, align, _WIDTH * 8)
    chunks = _chunk(b"bext", _bext(broadcast, measured)) if broadcast is not None else b""
    chunks += _chunk(b"fmt ", form)
    size = 4 + len(chunks) + 8 + data + data % 2
    return b"RIFF" + struct.pack("<I", size) + b"WAVE" + chunks + b"data" + struct.pack("<I", data)


def _chunk(name: bytes, content: bytes) -> bytes:
    return name + struct.pack("<I", len(content)) + content + b"\0" * (len(content) % 2)


def _bext(broadcast: Broadcast, measured: Loudness | None) -> bytes:
    high, low = divmod(broadcast.time_reference, 1 << 32)
    values = (
        (measured.integrated, measured.range, measured.true_peak, measured.momentary,
         measured.short_term) if measured is not None else (None,) * 5
    )  # fmt: skip
    fixed = struct.pack(
        _BEXT,
        _ascii(broadcast.description, 256),
        _ascii(broadcast.originator, 32),
        b"",
        b"",
        b"",
        low,
        high,
        2,
        b"",
        *map(_hundredths, values),
        b"",
    )
    return fixed + broadcast.history.encode("ascii") + b"\r\n"


def _hundredths(level: float | None) -> int:
    """Return a level as the chunk has it: hundredths, or the mark of a value not measured."""
    if level is None or not -99.99 <= level <= 99.99:
        return _NOT_MEASURED
    return int(np.floor(level * 100 + 0.5))


def _ascii(text: str, most: int) -> bytes:
    return text.encode("ascii", "replace")[:most]
