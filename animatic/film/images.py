"""The film as images: one frame as a PNG, or every frame as a numbered sequence."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path

from PIL import Image

from animatic.errors import UsageError
from animatic.film.beside import CouldNotWrite, beside
from animatic.film.coding import Picture
from animatic.film.counter import drawn
from animatic.film.ordered import InOrder, Stop, default_workers
from animatic.film.report import Progress
from animatic.film.segments import segments_of
from animatic.film.sources import PictureSource, pictures_of
from animatic.timeline.model import Timeline

__all__ = ["image_name", "write_images", "write_still"]

_EFFORT = 3
"""PNG's compression, 0 to 9: a third of the time of the usual 6, a little bigger."""


def image_name(frame: int) -> str:
    """Return the name of a film frame's image; frames count from 0.

    >>> image_name(137)
    '000137.png'
    """
    return f"{frame:06}.png"


def write_images(
    timeline: Timeline,
    folder: Path,
    *,
    pictures: PictureSource | None = None,
    counter: bool = False,
    workers: int | None = None,
    progress: Callable[[Progress], None] | None = None,
) -> int:
    """Write every frame of a film as a PNG named by its number, and return how many.

    They are 8 bits, sRGB, without loss. The folder must be new or empty, and appears only
    when it is whole. `progress` is called after every frame. UsageError where something is
    in the folder, MachineError where it cannot be written.
    """
    draw = drawn(timeline, pictures or pictures_of(timeline), counter)
    stop = Stop()

    def work(run: tuple[int, int]) -> bytes:
        stop.check()
        return _png(draw(run[0]))

    with beside(folder, folder=True) as temporary:
        made = InOrder(work, _runs(timeline, counter), workers or default_workers(), stop)
        try:
            for (start, end), data in made:
                for frame in range(start, end):
                    _write(temporary / image_name(frame), data)
                    if progress is not None:
                        progress(Progress(frame + 1, timeline.frames))
        finally:
            made.close()
    return timeline.frames


def write_still(
    timeline: Timeline,
    frame: int,
    path: Path,
    *,
    pictures: PictureSource | None = None,
    counter: bool = False,
) -> None:
    """Write one frame of a film, counted from 0, as a PNG.

    UsageError for a frame outside the film, MachineError where it cannot be written.

    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> from animatic.timeline.excerpt import resized
    >>> film = resized(lay_out(read_board(Path("demo_board"))), (320, 180))
    >>> with TemporaryDirectory() as folder:
    ...     write_still(film, 700, Path(folder, "still.png"))
    ...     print([path.name for path in Path(folder).iterdir()])
    ['still.png']
    """
    if not 0 <= frame < timeline.frames:
        last = timeline.frames - 1
        raise UsageError(
            f"frame {frame}: the film has frames 0 to {last}, {timeline.label(0)} to"
            f" {timeline.label(last)}"
        )
    data = _png(drawn(timeline, pictures or pictures_of(timeline), counter)(frame))
    with beside(path) as temporary:
        _write(temporary, data)


def _runs(timeline: Timeline, counter: bool) -> Iterator[tuple[int, int]]:
    """Yield the stretches of frames [start, end) that are one picture each."""
    for segment in segments_of(timeline, counted=counter):
        step = segment.frames if segment.kind == "still" else 1
        for start in range(segment.start, segment.end, step):
            yield start, start + step


def _png(picture: Picture) -> bytes:
    file = BytesIO()
    Image.fromarray(picture).save(file, "PNG", compress_level=_EFFORT)
    return file.getvalue()


def _write(path: Path, data: bytes) -> None:
    try:
        path.write_bytes(data)
    except OSError as error:
        raise CouldNotWrite(*error.args) from error
