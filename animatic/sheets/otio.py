"""The film as an OpenTimelineIO timeline, for the edit after the shoot.

Each shot is a clip of the media that the shoot will make for it, whose first frame is the first
one shot: its handle, then its overlap, then the shot. Sounds lie on tracks of their own, in
samples. Levels, fades and what the shoot has to know stand in the metadata under `animatic`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any
from urllib.parse import quote

from animatic.errors import MachineError
from animatic.frames import SAMPLE_RATE, Rate
from animatic.sheets.rows import spoken
from animatic.timeline.cues import one_by_one
from animatic.timeline.model import Bus, Cue, Line, Shot, Timeline
from animatic.timeline.take import COUNTED

__all__ = ["write"]

_BUSES: tuple[Bus, ...] = ("dialogue", "effects", "music")


def write(timeline: Timeline) -> str:
    """Return the timeline as OTIO's JSON; MachineError where the library is not installed."""
    try:
        import opentimelineio as otio
    except ImportError:
        raise MachineError(
            "OpenTimelineIO is not installed; install animatic with its extra 'otio'"
        ) from None
    built: str = otio.adapters.write_to_string(_Film(otio, timeline).built(), "otio_json")
    return built if built.endswith("\n") else f"{built}\n"


class _Film:
    """One film being turned into OTIO's objects."""

    def __init__(self, otio: Any, timeline: Timeline) -> None:
        self.schema, self.time, self.timeline = otio.schema, otio.opentime, timeline

    def built(self) -> Any:
        """Return the timeline with a picture track and the sound tracks."""
        timeline = self.timeline
        found = self.schema.Timeline(
            name=_words(timeline.title), global_start_time=self._frames(timeline.start)
        )
        found.metadata["animatic"] = {
            "rate": timeline.rate.name,
            "drop_frame": timeline.drop,
            "width": timeline.size[0],
            "height": timeline.size[1],
            "media": COUNTED,
        }
        found.tracks.append(self._picture())
        for bus in _BUSES:
            cues = (cue for cue in timeline.cues if cue.bus == bus)
            lanes = _lanes(part for cue in cues for part in one_by_one(cue))
            for number, lane in enumerate(lanes, 1):
                found.tracks.append(
                    self._sound(bus if len(lanes) == 1 else f"{bus} {number}", lane)
                )
        return found

    def _frames(self, count: int) -> Any:
        return self.time.RationalTime(count, _float(self.timeline.rate))

    def _range(self, start: int, length: int) -> Any:
        return self.time.TimeRange(self._frames(start), self._frames(length))

    def _picture(self) -> Any:
        track = self.schema.Track(name="picture", kind=self.schema.TrackKind.Video)
        for shot in self.timeline.shots:
            how = shot.transition
            if how.dissolve:
                # OTIO counts both offsets from the cut; ours begins dissolve // 2 before it.
                before = how.dissolve // 2
                track.append(self._mix(before, how.dissolve - before))
            if how.from_black:
                track.append(self.schema.Gap(source_range=self._range(0, 0)))
                track.append(self._mix(0, how.from_black))
            track.append(self._clip(shot))
            if how.to_black:
                track.append(self._mix(how.to_black, 0))
                track.append(self.schema.Gap(source_range=self._range(0, 0)))
        return track

    def _mix(self, before: int, after: int) -> Any:
        return self.schema.Transition(
            transition_type=self.schema.TransitionTypes.SMPTE_Dissolve,
            in_offset=self._frames(before),
            out_offset=self._frames(after),
        )

    def _clip(self, shot: Shot) -> Any:
        first = shot.handles + shot.overlap_head
        source = self.timeline.source(shot)
        media = _words(source.name)
        reference = self.schema.ExternalReference(
            target_url=quote(media), available_range=self._range(0, shot.frames_to_shoot)
        )
        reference.name = media
        clip = self.schema.Clip(
            name=_words(shot.name),
            media_reference=reference,
            source_range=self._range(first, shot.frames),
        )
        clip.metadata["animatic"] = {
            "setup": _words(shot.setup),
            "size": shot.size,
            "poses": shot.poses,
            "frames_to_shoot": shot.frames_to_shoot,
        }
        if remarks := list(source.remarks()):
            clip.metadata["animatic"]["media"] = remarks
        clip.markers.extend(self._marker(shot, line) for line in _heard(self.timeline, shot))
        return clip

    def _marker(self, shot: Shot, line: Line) -> Any:
        """Return the marker of what is said of a line within a shot, and so within its clip.

        The metadata have the whole line, in film frames.
        """
        start = min(max(line.first_frame, shot.start), shot.end)
        length = max(0, min(line.end_frame, shot.end) - start)
        goes_on = line.first_frame < shot.start
        marker = self.schema.Marker(
            name=_words(spoken(line)) + " (goes on)" * goes_on,
            marked_range=self._range(start - shot.first_to_shoot, length),
        )
        marker.metadata["animatic"] = {
            "line": line.number,
            "first_frame": line.first_frame,
            "end_frame": line.end_frame,
        }
        return marker

    def _samples(self, start: int, length: int) -> Any:
        time = self.time.RationalTime
        return self.time.TimeRange(time(start, SAMPLE_RATE), time(length, SAMPLE_RATE))

    def _sound(self, name: str, cues: list[Cue]) -> Any:
        track = self.schema.Track(name=name, kind=self.schema.TrackKind.Audio)
        at = 0
        for cue in cues:
            if cue.start > at:
                track.append(self.schema.Gap(source_range=self._samples(0, cue.start - at)))
            clip = self.schema.Clip(
                name=_words(cue.file.stem),
                media_reference=self.schema.ExternalReference(target_url=cue.file.as_uri()),
                source_range=self._samples(cue.skip, cue.end - cue.start),
            )
            clip.metadata["animatic"] = {
                "level_db": cue.level,
                "fade_in_samples": cue.fade_in,
                "fade_out_samples": cue.fade_out,
                "pan": cue.pan,
                "licence": _words(cue.licence),
            }
            track.append(clip)
            at = cue.end
        return track


def _heard(timeline: Timeline, shot: Shot) -> Iterator[Line]:
    """Yield the lines that begin in a shot or that go on in it, in their order.

    One that begins behind its shot is where it is heard; behind the film, with its own shot.
    """
    for line in timeline.lines:
        begins = shot.start <= line.first_frame < shot.end
        lost = line.first_frame >= timeline.frames and line in shot.lines
        if begins or lost or line.first_frame < shot.start < line.end_frame:
            yield line


def _float(rate: Rate) -> float:
    """Return the rate as OTIO holds one: the float nearest to the exact ratio."""
    return rate.fps.numerator / rate.fps.denominator


def _words(text: str) -> str:
    """Return words that UTF-8 can carry."""
    return text.encode("utf-8", "replace").decode("utf-8")


def _lanes(cues: Iterable[Cue]) -> list[list[Cue]]:
    """Return cues in as few lanes as need be for no two of a lane to overlap."""
    lanes: list[list[Cue]] = []
    for cue in sorted(cues, key=lambda cue: (cue.start, cue.end)):
        free = next((lane for lane in lanes if lane[-1].end <= cue.start), None)
        if free is None:
            lanes.append([cue])
        else:
            free.append(cue)
    return lanes
