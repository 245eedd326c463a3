"""The mix: the film's sound, at the loudness the board asks for.

The film has exactly `timeline.samples` samples, in blocks of any size and with the same bytes
in each of them; memory does not grow with the film's length.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from animatic.frames import SAMPLE_RATE
from animatic.sound.buses import summed
from animatic.sound.programme import Programme, find_programme, programme_stems
from animatic.timeline.model import Timeline

__all__ = ["mix_blocks", "mix_to_array"]

Block = NDArray[np.float32]


def mix_blocks(
    timeline: Timeline, block: int = SAMPLE_RATE, programme: Programme | None = None
) -> Iterator[Block]:
    """Yield the film's sound, float32 (samples, 2) at 48 kHz, `block` samples at a time.

    The last block may be shorter; all together have exactly `timeline.samples` samples. Full
    scale is 1.0; no true peak is over -1 dBTP. Without a `programme` the film is measured
    first. MediaError for a sound that cannot be used, ValueError for a block under 1.
    """
    if block < 1:
        raise ValueError(f"a block of {block} samples; allowed: 1 or more")
    return _in_blocks(_chunks(timeline, programme), block)


def mix_to_array(timeline: Timeline, programme: Programme | None = None) -> Block:
    """Return the sound of a short film in one piece: 23 MB a minute.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> from animatic.timeline.excerpt import excerpt
    >>> sound = mix_to_array(excerpt(lay_out(read_board(Path("demo_board"))), "70", "70"))
    >>> sound.shape, str(sound.dtype)
    ((92000, 2), 'float32')
    """
    blocks = mix_blocks(timeline, programme=programme)
    return np.concatenate([np.zeros((0, 2), np.float32), *blocks])


def _chunks(timeline: Timeline, programme: Programme | None) -> Iterator[Block]:
    found = find_programme(timeline) if programme is None else programme
    for stems in programme_stems(timeline, found):
        yield summed(stems).astype(np.float32)


def _in_blocks(chunks: Iterable[Block], block: int) -> Iterator[Block]:
    held: list[Block] = []
    have = 0
    for chunk in chunks:
        held.append(chunk)
        have += len(chunk)
        if have < block:
            continue
        whole = np.concatenate(held)
        full = have - have % block
        for first in range(0, full, block):
            yield whole[first : first + block]
        held, have = [whole[full:]], have - full
    if have:
        yield np.concatenate(held)
