"""The film writer: timeline in, MP4 out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from animatic.errors import InternalError
from animatic.film.beside import beside
from animatic.film.cache import Cache
from animatic.film.coding import Format
from animatic.film.labels import labels_of
from animatic.film.mux import mux
from animatic.film.ordered import InOrder, Stop, ahead, default_workers
from animatic.film.readback import check_index
from animatic.film.report import FilmReport, Progress
from animatic.film.reuse import Workshop
from animatic.film.segments import segments_of, stitched
from animatic.film.sources import PictureSource, SoundSource
from animatic.timeline.model import Timeline

__all__ = ["write_film"]

_SOUND_AHEAD = 3000
"""AAC packets that are coded before they are needed: a minute."""
_CODED_AHEAD = 24
"""Coded pictures that may wait for the muxer, some megabytes in all."""


def write_film(
    timeline: Timeline,
    target: Path,
    *,
    pictures: PictureSource | None = None,
    sound: SoundSource | None = None,
    workers: int | None = None,
    progress: Callable[[Progress], None] | None = None,
    counter: bool = False,
    use_cache: bool = True,
    store: Cache | None = None,
) -> FilmReport:
    """Write a timeline as an MP4 film: H.264 in BT.709, AAC at 48 kHz stereo.

    The film has exactly `timeline.frames` frames at the exact rate and `timeline.samples`
    samples, a chapter a shot, a timecode track, and a caption a line. It takes the place of
    `target` only when it is whole. `pictures` and `sound` are the board's own unless others
    are given; `workers` threads make pictures (one a core). `progress` is called after every
    frame. `counter` shows the shot's name and the frame within it on every frame. `store` is
    the cache, the user's own unless another is given. The bytes are the same with and without
    cache, and with any number of workers.

    MachineError where the film cannot be written; what the sources raise comes through.

    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> from animatic.timeline.excerpt import excerpt, resized
    >>> part = excerpt(resized(lay_out(read_board(Path("demo_board"))), (320, 180)), "70", "70")
    >>> with TemporaryDirectory() as folder:
    ...     report = write_film(part, Path(folder, "film.mp4"))
    >>> report.frames
    46
    """
    form, stop = Format(timeline.size, timeline.rate), Stop()
    segments = segments_of(timeline, counted=counter)
    store = (store or Cache()) if use_cache else None
    with beside(target) as temporary:
        shop = Workshop(timeline, form, pictures, sound, store, stop, counted=counter)
        # Pictures are under way while the sound is still being measured.
        coded = InOrder(
            shop.segment,
            segments,
            workers or default_workers(),
            stop,
            weigh=lambda segment: segment.frames if segment.kind == "moving" else 1,
            room=_CODED_AHEAD,
        )
        packets = ahead(shop.sound(), _SOUND_AHEAD, stop)
        try:
            sets = mux(
                temporary,
                form,
                timeline.frames,
                stitched(coded, shop.template),
                packets,
                labels_of(timeline),
                _teller(progress, timeline.frames),
            )
        finally:
            coded.close()
            packets.close()
        if sets != shop.template.sets:
            raise InternalError("the film's parameter sets are not those of its pictures")
        check_index(temporary, timeline.frames, timeline.samples)
        length = temporary.stat().st_size
    programme = shop.programme()
    shop.close()
    return FilmReport(
        path=target,
        frames=timeline.frames,
        samples=timeline.samples,
        size=timeline.size,
        segments=len(segments),
        coded=shop.coded,
        bytes=length,
        programme=programme,
    )


def _teller(progress: Callable[[Progress], None] | None, total: int) -> Callable[[int], None]:
    if progress is None:
        return lambda done: None
    return lambda done: progress(Progress(done, total))
