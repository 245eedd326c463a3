"""Boards and media files that are broken, one by one, through the real command line.

In a text of the table the sign § is taken out before the board is written: it marks where each
message has to point, in the order of the messages. What a message says is given whole; ⋯ stands
for words of a library's.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from animatic.board.schema import BoardContent
from animatic.cli import run
from tests.boards import HEAD, BoardFolder

LENGTHS = "2.5s, 60f, 2s12f, 1m4s, 3+08 (35 mm feet+frames) or 00:00:02:12"
PHOTOS = "JPEG, PNG, TIFF, WebP, or HEIC with the extra heic"
SOUNDS = "wav, aiff, flac, mp3, m4a, ogg or opus"
SIZES = "EWS, WS, LS, MLS, MS, MCU, CU, ECU, INSERT, OTS, POV, 2S, or two of them as MS OTS"
# The keys grow with what the board can say; docs/board.md is tested to list them.
TOP = ", ".join(field.alias or name for name, field in BoardContent.model_fields.items())
AGAIN = "copy it again from the card"
EXPORT = "export it again"
YAML_HINT = "look at this line and the one above: quotes, colons and spaces at the line start"
UNCLOSED = "the quote or bracket that opens here is never closed"
UNSEEN = "delete it and type the text around it anew"
OUTSIDE = "copy it in, or write outside: allow at the top of the board"


@dataclass(frozen=True)
class Fault:
    """A board that is broken, and all that is said about it."""

    name: str
    text: str
    says: str | tuple[str, ...]
    make: Callable[[BoardFolder], object] = lambda board: None
    encoding: str = "utf-8"
    newline: str = "\n"

    @property
    def written(self) -> bytes:
        """The board's file."""
        text = self.text.replace("§", "").replace("\n", self.newline)
        return text.encode(self.encoding, "surrogatepass")

    def messages(self, file: str = "board.yaml") -> list[str]:
        """Each message in full, with the place that its § marks."""
        before = self.text.split("§")[:-1]
        said = (self.says,) if isinstance(self.says, str) else self.says
        found = []
        for number, words in enumerate(said):
            text = "".join(before[: number + 1])
            line, column = text.count("\n") + 1, len(text) - text.rfind("\n")
            found.append(f"{file}:{line}:{column}: {words}")
        assert len(before) == len(said), "every message needs its own §"
        return found


def top(line: str) -> str:
    """A sound board with one more line at its top level."""
    return f"{HEAD}{line}\npanels:\n  - {{shot: 10, photo: a.jpg, duration: 48f}}\n"


def one(rest: str) -> str:
    """A board of one panel with these keys more."""
    return f"{HEAD}panels:\n  - {{shot: 10, photo: a.jpg, {rest}}}\n"


def two(first: str, second: str, before: str = "") -> str:
    """A board of two panels of 48 frames with these keys more."""
    return (
        f"{HEAD}{before}panels:\n"
        f"  - {{shot: 10, photo: a.jpg, duration: 48f{first}}}\n"
        f"  - {{photo: a.jpg, duration: 48f{second}}}\n"
    )


def photo(name: str) -> str:
    return f"{HEAD}panels:\n  - {{shot: 10, photo: §{name}}}\n"


def sound(name: str) -> str:
    return one(f"sounds: [{{file: §{name}}}]")


def noise(name: str, **save: object) -> Callable[[BoardFolder], None]:
    """Write a photo that compresses badly, and cut it in half."""

    def make(board: BoardFolder) -> None:
        pixels = np.random.default_rng(7).integers(0, 255, (90, 160, 3), np.uint8)
        Image.fromarray(pixels).save(board.path(name), **save)  # type: ignore[arg-type]
        halve(board.path(name))

    return make


def halve(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def file(name: str, data: bytes) -> Callable[[BoardFolder], int]:
    return lambda board: board.path(name).write_bytes(data)


def image(name: str, mode: str) -> Callable[[BoardFolder], None]:
    return lambda board: Image.new(mode, (160, 90)).save(board.path(name))


def link(name: str, target: str) -> Callable[[BoardFolder], None]:
    return lambda board: os.symlink(target, board.path(name))


def vast(board: BoardFolder) -> None:
    """A PNG whose head promises 40 000 x 40 000 pixels (W3C PNG, chunk IHDR)."""
    Image.new("L", (1, 1)).save(board.path("vast.png"))
    data = bytearray(board.path("vast.png").read_bytes())
    data[16:24] = (40_000).to_bytes(4, "big") * 2
    import zlib

    data[29:33] = zlib.crc32(data[12:29]).to_bytes(4, "big")
    board.path("vast.png").write_bytes(data)


YAML_FAULTS = [
    Fault("nothing at all", "§", "the file is empty; a board begins with the line: board: 1"),
    Fault("remarks only", "§# soon\n", "the file is empty; a board begins with the line: board: 1"),
    Fault(
        "a list at the top",
        "§- shot: 10\n",
        "this is not a board; a board begins with the line: board: 1",
    ),
    Fault("plain words", "§hello\n", "this is not a board; a board begins with the line: board: 1"),
    Fault(
        "an open quote",
        top('title: §"Low Water'),
        f"this is not readable as YAML: found unexpected end of stream; {UNCLOSED}",
    ),
    Fault(
        "a tab at the line start",
        "board: 1\npicture:\n§\tsize: 160x90\n",
        f"this is not readable as YAML: found character that cannot start any token; {YAML_HINT}",
    ),
    Fault(
        "a second colon",
        top("title: The quay§: a film"),
        f"this is not readable as YAML: mapping values are not allowed in this context;"
        f" {YAML_HINT}",
    ),
    Fault(
        "an open bracket",
        f"{HEAD}panels: §[{{shot: 10}}\n",
        f"this is not readable as YAML: did not find expected ',' or ']'; {UNCLOSED}",
    ),
    Fault(
        "half a character, escaped",
        photo('"\\u§d800.jpg"').replace("§", "", 1),
        f"this is not readable as YAML: found invalid Unicode character escape code; {YAML_HINT}",
    ),
    Fault(
        "a key twice",
        top("title: Low Water\n§title: High Water"),
        "the key title stands here a second time; the first is on line 3",
    ),
    Fault(
        "a key twice, deep in",
        one("crop: {left: 0.1, §left: 0.2}"),
        "panels[1].crop: the key left stands here a second time; the first is on line 4",
    ),
    Fault(
        "an anchor and an alias",
        top("title: §&name Low Water\nstart: §*name"),
        (
            "title: the anchor &name; boards know no anchors; leave it out",
            "start: the alias *name; write the value out again",
        ),
    ),
    Fault(
        "an anchor at a key",
        top("§&name title: Low Water"),
        "the anchor &name; boards know no anchors; leave it out",
    ),
    Fault(
        "an alias for a key",
        top("title: §&name Low Water\n§*name : 1"),
        (
            "title: the anchor &name; boards know no anchors; leave it out",
            "the alias *name; write the value out again",
        ),
    ),
    Fault(
        "a merge key",
        top("speech: §&pace {lead: 0s}\nmix: {<<: §*pace}"),
        (
            "speech: the anchor &pace; boards know no anchors; leave it out",
            "mix.<<: the alias *pace; write the value out again",
        ),
    ),
    Fault(
        "a bomb of aliases",
        "a: §&a [x, x]\nb: §&b [§*a, §*a]\nc: [§*b, §*b]\n",
        (
            "a: the anchor &a; boards know no anchors; leave it out",
            "b: the anchor &b; boards know no anchors; leave it out",
            "b[1]: the alias *a; write the value out again",
            "b[2]: the alias *a; write the value out again",
            "c[1]: the alias *b; write the value out again",
            "c[2]: the alias *b; write the value out again",
        ),
    ),
    Fault("a tag", top("title: §!!str 12"), "title: the tag !!str; leave it out"),
    Fault(
        "a tag that makes objects",
        top("title: §!!python/object/apply:os.getcwd []"),
        "title: the tag !!python/object/apply:os.getcwd; leave it out",
    ),
    Fault(
        "two documents",
        f"{top('title: Low Water')}§---\nboard: 1\n",
        "a second document begins here; one file, one board",
    ),
    Fault(
        "a list for a key",
        top("§[a, b]: 1"),
        "a list or mapping stands as a key; a key is a word;"
        " put text with brackets or braces into quotes",
    ),
    Fault(
        "nested too deep",
        f"board: 1\npanels: {'[' * 15}§{'[' * 400}{']' * 415}\n",
        f"panels{'[1]' * 15}: nested too deep; boards are a few levels deep",
    ),
    Fault(
        "bytes of cp1252",
        top("title: Caf§é"),
        "byte 0xe9 is not UTF-8 text; save the board in the editor with encoding UTF-8",
        encoding="cp1252",
    ),
    Fault(
        "bytes of cp1252 and line ends of Windows",
        top("title: Caf§é"),
        "byte 0xe9 is not UTF-8 text; save the board in the editor with encoding UTF-8",
        encoding="cp1252",
        newline="\r\n",
    ),
    Fault(
        "UTF-16 without its mark",
        "b§oard: 1\n",
        f"the invisible character U+0000 cannot stand in a board; {UNSEEN}",
        encoding="utf-16-le",
    ),
    Fault(
        "a NUL byte",
        top("title: Low§\0 Water"),
        f"the invisible character U+0000 cannot stand in a board; {UNSEEN}",
    ),
    Fault(
        "a control character after accents",
        top("title: Où ça§\x82"),
        f"the invisible character U+0082 cannot stand in a board; {UNSEEN}",
    ),
    Fault(
        "a byte-order mark in the middle",
        top("title: Low§\ufeffWater"),
        f"the invisible character U+FEFF cannot stand in a board; {UNSEEN}",
    ),
]

VALUE_FAULTS = [
    Fault(
        "an unknown key",
        top("§titel: Low Water"),
        f"the board: the key titel is not known; allowed: {TOP}; did you mean title?",
    ),
    Fault(
        "an unknown key of a panel",
        one("crop: {§widht: 0.5}"),
        "panels[1].crop: the key widht is not known; allowed: left, top, width, height;"
        " did you mean width?",
    ),
    Fault(
        "a key that is a word of pydantic's",
        top('§"[key]": 1'),
        f"the board: the key [key] is not known; allowed: {TOP}",
    ),
    Fault(
        "no version",
        "§panels:\n  - {shot: 10, photo: a.jpg}\n",
        "the board: the key board is missing; it is for: version of the board file; it is 1",
    ),
    Fault(
        "another version",
        "board: §2\npanels:\n  - {shot: 10, photo: a.jpg}\n",
        "board: found 2; allowed: 1",
    ),
    Fault(
        "no panels",
        "§board: 1\n",
        "the board: the key panels is missing; it is for: the panels in order",
    ),
    Fault(
        "an empty list of panels",
        f"{HEAD}panels: §[]\n",
        "panels: an empty list; allowed: at least one entry",
    ),
    Fault(
        "nothing behind panels",
        f"{HEAD}panels:§\n",
        "panels: nothing stands behind it; give it a value, or leave the key out",
    ),
    Fault(
        "a mapping for the panels",
        f"{HEAD}panels: §{{shot: 10}}\n",
        "panels: a mapping of keys stands here; allowed: a list;"
        " begin each entry on a line of its own with a dash",
    ),
    Fault(
        "a word for a panel",
        f"{HEAD}panels:\n  - §quay\n",
        "panels[1]: the text 'quay' stands here;"
        " allowed: keys of its own (shot, photo, size, setup, duration, shortest ...)",
    ),
    Fault(
        "no photo",
        f"{HEAD}panels:\n  - §{{shot: 10}}\n",
        "panels[1]: the key photo is missing; it is for: the photo, from the board's folder",
    ),
    Fault(
        "a list for a photo",
        photo("[a.jpg]"),
        "panels[1].photo: a list stands here; allowed: the path of a file",
    ),
    Fault(
        "a rate that is rounded",
        top("rate: §23.98"),
        "rate: found 23.98; allowed: 12, 15, 24, 25, 30, 23.976, 29.97, 59.94; write 23.976",
    ),
    Fault(
        "a rate of nothing",
        top("rate: §0"),
        "rate: found 0; allowed: 12, 15, 24, 25, 30, 23.976, 29.97, 59.94",
    ),
    Fault(
        "a bare number",
        one("duration: §2.5"),
        f"panels[1].duration: the bare number 2.5; allowed: {LENGTHS};"
        " write 2.5s for seconds or 2f for frames",
    ),
    Fault(
        "minutes and seconds by a colon",
        one("duration: §1:30"),
        f"panels[1].duration: found 1:30; allowed: {LENGTHS}; write 1m30s for minutes and seconds",
    ),
    Fault(
        "a negative length",
        one("duration: §-2s"),
        f"panels[1].duration: found -2s; allowed: {LENGTHS}; a minus sign has no meaning here",
    ),
    Fault(
        "no length",
        one("duration: §0f"),
        "panels[1].duration: found 0f; allowed: a length above zero",
    ),
    Fault(
        "a huge length",
        one("duration: §99999999999999f"),
        "panels[1].duration: found 99999999999999f; allowed: at most 24 hours",
    ),
    Fault(
        "a length of thousands of digits",
        one(f"duration: §{'9' * 5000}s"),
        f"panels[1].duration: a text of 5001 characters; allowed: {LENGTHS}",
    ),
    Fault(
        "a whole number of thousands of digits",
        top(f"shoot_on: §{'9' * 5000}"),
        f"shoot_on: found {'9' * 76}...; allowed: a whole number from 1 to 8",
    ),
    Fault(
        "digits of another script",
        one("duration: §١٢f"),
        f"panels[1].duration: found ١٢f; allowed: {LENGTHS}",
    ),
    Fault(
        "frames beyond the rate",
        one("duration: §00:00:02:24"),
        "panels[1].duration: 00:00:02:24 has 24 frames in its last part;"
        " allowed: frames to 23 at 24",
    ),
    Fault(
        "no number and an infinite one",
        top("mix: {duck: §.nan, music: §-.inf, effects: §1e5}"),
        (
            "mix.duck: found .nan; allowed: a number from 0 to 40 (dB)",
            "mix.music: found -.inf; allowed: a number from -60 to 12 (dB)",
            "mix.effects: found 1e5; allowed: a number from -60 to 12 (dB)",
        ),
    ),
    Fault(
        "an octal number",
        top("shoot_on: §02"),
        "shoot_on: found 02; allowed: a whole number from 1 to 8",
    ),
    Fault("on noughts", top("shoot_on: §0"), "shoot_on: found 0; allowed: from 1 to 8"),
    Fault(
        "yes for true",
        top("lettering: {shot: §yes}"),
        "lettering.shot: found yes; allowed: true or false; write true",
    ),
    Fault(
        "an odd picture size",
        top("").replace("160x90", "§161x90"),
        "picture.size: found 161x90; allowed: even numbers; write 160x90",
    ),
    Fault(
        "a vast picture size",
        top("").replace("160x90", "§99998x99998"),
        "picture.size: found 99998x99998; allowed: from 128x72 to 7680x7680",
    ),
    Fault(
        "a shot size in small letters",
        one("size: §mcu"),
        f"panels[1].size: found mcu; allowed: {SIZES}; did you mean MCU?",
    ),
    Fault(
        "a fit of another name",
        one("fit: §stretch"),
        "panels[1].fit: found stretch; allowed: cover or contain",
    ),
    Fault(
        "a negative crop",
        one("crop: {left: §-0.5}"),
        "panels[1].crop.left: found -0.5; allowed: a number from 0 to 1",
    ),
    Fault(
        "a crop that stands out",
        one("crop: §{left: 0.7, width: 0.5}"),
        "panels[1].crop: the rectangle stands out over the photo;"
        " allowed: left + width and top + height at most 1",
    ),
    Fault(
        "a crop without area",
        one("crop: §{height: 0}"),
        "panels[1].crop: the rectangle has no area; allowed: width and height above 0",
    ),
    Fault(
        "a label that is none",
        top("start: §01:00"),
        "start: found 01:00; allowed: a timecode as 01:00:00:00;"
        " a semicolon before the frames stands for drop-frame",
    ),
    Fault(
        "drop-frame where there is none",
        top("start: §01:00:00;00"),
        "start: there is no drop-frame count at 24 frames a second",
    ),
    Fault(
        "a label that drop-frame leaves out",
        top("rate: 29.97\nstart: §00:01:00;00"),
        "start: 00:01:00;00 is left out by drop-frame; the next label is 00:01:00;02",
    ),
    Fault(
        "a very long name",
        f"{HEAD}panels:\n  - {{shot: §{'quay' * 100}, photo: a.jpg}}\n",
        "panels[1].shot: a name of 400 characters; allowed: at most 40",
    ),
    Fault(
        "a name with invisible joints",
        f"{HEAD}panels:\n  - {{shot: §👨\u200d👩, photo: a.jpg}}\n",
        "panels[1].shot: found '\\U0001f468\\u200d\\U0001f469';"
        " allowed: a name on one line, without invisible characters",
    ),
    Fault(
        "a name that turns the line round",
        top("cast: {§abc\u202edef: {}}"),
        "cast.abc\u202edef: found 'abc\\u202edef';"
        " allowed: a name on one line, without invisible characters",
    ),
    Fault(
        "a name without letters",
        f"{HEAD}panels:\n  - {{shot: §'', photo: a.jpg}}\n",
        "panels[1].shot: found ''; allowed: a name on one line, without invisible characters",
    ),
]

ACROSS_FAULTS = [
    Fault(
        "no shot at first",
        f"{HEAD}panels:\n  - §{{photo: a.jpg}}\n",
        "panels[1]: the first panel names no shot; give the first panel a shot, as shot: 10",
    ),
    Fault(
        "a shot that comes back",
        f"{HEAD}panels:\n  - {{shot: 2.10, photo: a.jpg}}\n  - {{shot: 20, photo: a.jpg}}\n"
        "  - {shot: §2.10, photo: a.jpg}\n",
        "panels[3].shot: shot 2.10 was there before, on line 4, and other shots since;"
        " one shot lies from cut to cut: name this one 2.10B",
    ),
    Fault(
        "a right-to-left shot that comes back",
        f"{HEAD}panels:\n  - {{shot: שלוש, photo: a.jpg}}\n  - {{shot: 🦭, photo: a.jpg}}\n"
        "  - {shot: §שלוש, photo: a.jpg}\n",
        "panels[3].shot: shot שלוש was there before, on line 4, and other shots since;"
        " one shot lies from cut to cut: name this one שלושB",
    ),
    Fault(
        "an unknown setup",
        two(", setup: §quay-dya", "", "setups: {quay-day: {place: Quay}}\n"),
        "panels[1].setup: there is no setup quay-dya; allowed: a setup: quay-day;"
        " did you mean quay-day?",
    ),
    Fault(
        "a setup where none is",
        one("setup: §quay"),
        "panels[1].setup: there is no setup quay; write setups: with quay: {place: ...} under it",
    ),
    Fault(
        "two setups in a shot",
        two(", setup: a", ", setup: §b", "setups: {a: {}, b: {}}\n"),
        "panels[2].setup: setup b within a shot that began on line 5 on a;"
        " another camera set-up is another shot: give this panel a shot of its own",
    ),
    Fault(
        "music from shots that are not",
        top("music: [{file: a.wav, from: §shot 1, until: §shot 99}]"),
        (
            "music[1].from: there is no shot 1; allowed: a shot: 10; did you mean 10?",
            "music[1].until: there is no shot 99; allowed: a shot: 10",
        ),
    ),
    Fault(
        "music from a bare name",
        top("music: [{file: a.wav, from: §10}]"),
        "music[1].from: found 10; allowed: the word shot and its name, as shot 10; write: shot 10",
    ),
    Fault(
        "music backwards",
        two("", ", shot: 20", "music: [{file: a.wav, from: shot 20, until: §shot 10}]\n"),
        "music[1].until: shot 10 comes before shot 20; swap the two",
    ),
    Fault(
        "a dissolve from nothing",
        one("transition: {dissolve: §12f}"),
        "panels[1].transition.dissolve: a dissolve into the first shot, with nothing before it;"
        " write from_black",
    ),
    Fault(
        "a dissolve within a shot",
        two("", ", transition: {dissolve: §12f}"),
        "panels[2].transition.dissolve: dissolve on panel 2 of shot 10;"
        " a transition lies at a cut: put it on the shot's first panel",
    ),
    Fault(
        "a fade out within a shot",
        two(", transition: {to_black: §12f}", ""),
        "panels[1].transition.to_black: to_black on panel 1 of shot 10;"
        " put it on the shot's last panel",
    ),
    Fault(
        "two transitions at one cut",
        two("", ", shot: 20, transition: §{dissolve: 12f, from_black: 12f}"),
        "panels[2].transition: a dissolve and a fade from black at one cut; leave one of them out",
    ),
    Fault(
        "black, and a dissolve from it",
        two(", transition: {to_black: §12f}", ", shot: 20, transition: {dissolve: 12f}"),
        "panels[1].transition.to_black: shot 10 fades to black and the next one dissolves from it;"
        " leave one of them out",
    ),
    Fault(
        "a dissolve longer than its shot",
        two("", ", shot: 20, transition: §{dissolve: 97f}"),
        "panels[2].transition: the transitions of shot 20 take 49 frames at its start and 0 at its"
        " end, and it has 48; shorten them, or give the shot more frames",
    ),
    Fault(
        "a move after the panel",
        one("duration: 48f, move: §{to: {width: 0.5}, start: 3s}"),
        "panels[1].move: a move from frame 72 to frame 47 of a panel with frames 0 to 47;"
        " start it earlier, shorten it, or give the panel more frames",
    ),
    Fault(
        "a move to nowhere",
        one("move: §{ease: in}"),
        "panels[1].move: the key to is missing; it is for: the framing it ends on",
    ),
    Fault(
        "a move beyond the photo",
        one("move: {to: §{top: 0.6, height: 0.6}}"),
        "panels[1].move.to: the rectangle stands out over the photo;"
        " allowed: left + width and top + height at most 1",
    ),
    Fault(
        "more left out than there is",
        top("music: [{file: a.wav, skip: §1s}]"),
        "music[1].skip: 1s left out of a sound of 1.00 s leaves nothing; allowed: less than 1.00s",
    ),
]

FILE_FAULTS = [
    Fault("no such photo", photo("quay.jpg"), "panels[1].photo: quay.jpg is not there"),
    Fault(
        "a photo in other capitals",
        photo("A.JPG"),
        "panels[1].photo: A.JPG is not there; there is a.jpg",
    ),
    Fault(
        "a photo of nearly that name",
        photo("pics/quay_wdie.jpg"),
        "panels[1].photo: pics/quay_wdie.jpg is not there; there is pics/quay_wide.jpg",
        lambda board: board.photo("pics/quay_wide.jpg"),
    ),
    Fault(
        "no such folder",
        photo("pics/quay.jpg"),
        "panels[1].photo: pics/quay.jpg is not there; its folder is not there either",
    ),
    Fault(
        "a folder for a photo",
        photo("pics"),
        "panels[1].photo: pics is a folder; allowed: a photo file",
        lambda board: board.path("pics").mkdir(),
    ),
    Fault(
        "a folder for a sound",
        sound("pics"),
        "panels[1].sounds[1].file: pics is a folder; allowed: a sound file",
        lambda board: board.path("pics").mkdir(),
    ),
    Fault(
        "a pipe for a photo",
        photo("pipe.jpg"),
        "panels[1].photo: pipe.jpg is no regular file; allowed: a photo file",
        lambda board: os.mkfifo(board.path("pipe.jpg")),
    ),
    Fault(
        "outside",
        photo("../a.jpg"),
        f"panels[1].photo: ../a.jpg lies outside the board's folder; {OUTSIDE}",
    ),
    Fault(
        "an absolute path",
        photo("/etc/hostname"),
        f"panels[1].photo: /etc/hostname lies outside the board's folder; {OUTSIDE}",
    ),
    Fault(
        "a link out of the folder",
        photo("link.jpg"),
        f"panels[1].photo: link.jpg lies outside the board's folder; {OUTSIDE}",
        link("link.jpg", "/etc/hostname"),
    ),
    Fault(
        "a folder that is a link out of the folder",
        photo("etc/hostname"),
        f"panels[1].photo: etc/hostname lies outside the board's folder; {OUTSIDE}",
        link("etc", "/etc"),
    ),
    Fault(
        "a link in a circle",
        photo("link.jpg"),
        "panels[1].photo: link.jpg is a link to link.jpg, which is not there",
        link("link.jpg", "link.jpg"),
    ),
    Fault(
        "a link to nothing",
        photo("link.jpg"),
        "panels[1].photo: link.jpg is a link to gone.jpg, which is not there",
        link("link.jpg", "gone.jpg"),
    ),
    Fault(
        "backslashes",
        photo("pics\\a.jpg"),
        "panels[1].photo: found pics\\a.jpg; allowed: a path with forward slashes,"
        " on every system; write pics/a.jpg",
    ),
    Fault(
        "a NUL in a path",
        photo('"a\\0.jpg"'),
        "panels[1].photo: found 'a\\x00.jpg';"
        " allowed: the path of a file, without invisible characters",
    ),
    Fault(
        "a very long path",
        photo("x" * 400),
        f"panels[1].photo: {'x' * 76}... is not there",
    ),
    Fault(
        "no bytes in a photo",
        photo("b.jpg"),
        f"panels[1].photo: b.jpg: the file is empty; {AGAIN}",
        file("b.jpg", b""),
    ),
    Fault(
        "words for a photo",
        photo("b.jpg"),
        f"panels[1].photo: b.jpg: this is no photo that can be read ({PHOTOS}); {AGAIN}",
        file("b.jpg", b"soon"),
    ),
    Fault(
        "a sound for a photo",
        photo("a.wav"),
        f"panels[1].photo: a.wav: this is no photo that can be read ({PHOTOS}); {AGAIN}",
    ),
    Fault(
        "a program for a photo",
        photo("b.eps"),
        f"panels[1].photo: b.eps: this is no photo that can be read ({PHOTOS}); {AGAIN}",
        image("b.eps", "RGB"),
    ),
    *(
        Fault(
            f"half a {name}",
            photo(name),
            f"panels[1].photo: {name}: the photo is damaged or cut short (⋯); {AGAIN}",
            noise(name),
        )
        for name in ("cut.jpg", "cut.png", "cut.tif", "cut.webp", "cut.bmp")
    ),
    Fault(
        "floats for pixels",
        photo("b.tif"),
        "panels[1].photo: b.tif: its pixels are stored in a way that is not read (F);"
        f" save it as JPEG, or as PNG or TIFF with 8 or 16 bits a channel; {AGAIN}",
        image("b.tif", "F"),
    ),
    Fault(
        "more pixels than memory",
        photo("vast.png"),
        f"panels[1].photo: vast.png: the photo has too many pixels; {AGAIN}",
        vast,
    ),
    Fault("no such sound", sound("bell.wav"), "panels[1].sounds[1].file: bell.wav is not there"),
    Fault(
        "no such recording",
        one("dialogue: [{who: Odd, line: Late., voice: §odd.wav}]"),
        "panels[1].dialogue[1].voice: odd.wav is not there",
    ),
    Fault(
        "no bytes in a sound",
        sound("b.wav"),
        f"panels[1].sounds[1].file: b.wav: the file is empty; {EXPORT}",
        file("b.wav", b""),
    ),
    Fault(
        "words for a sound",
        sound("b.wav"),
        f"panels[1].sounds[1].file: b.wav: this is text and no sound; allowed: {SOUNDS}; {EXPORT}",
        file("b.wav", b"soon"),
    ),
    Fault(
        "a photo for a sound, and rightly for a photo too",
        sound("a.jpg"),
        "panels[1].sounds[1].file: a.jpg: the file is damaged or no sound;"
        f" allowed: {SOUNDS}; {EXPORT}",
    ),
    Fault(
        "half a sound",
        sound("a.wav"),
        "panels[1].sounds[1].file: a.wav: the file breaks off at 0.50 s of the 1.00 s that its"
        f" header states; {EXPORT}",
        lambda board: halve(board.path("a.wav")),
    ),
    Fault(
        "music outside",
        top("music: [{file: §../tide.wav}]"),
        f"music[1].file: ../tide.wav lies outside the board's folder; {OUTSIDE}",
    ),
    Fault(
        "no such font",
        top("lettering: {font: §quay.ttf}"),
        "lettering.font: quay.ttf is not there",
    ),
    *(
        Fault(
            f"{what} for a font",
            top("lettering: {font: §quay.ttf}"),
            "lettering.font: quay.ttf: this is no font that can be read;"
            " allowed: TrueType and OpenType (.ttf, .otf, .ttc);"
            " name another font, or none for the built-in one",
            file("quay.ttf", data),
        )
        for what, data in (("no bytes", b""), ("words", b"soon"))
    ),
]

FAULTS = [*YAML_FAULTS, *VALUE_FAULTS, *ACROSS_FAULTS, *FILE_FAULTS]


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A folder, the current one, with a photo and a sound of a second."""
    folder = tmp_path / "film"
    folder.mkdir()
    monkeypatch.chdir(folder)
    board = BoardFolder(folder)
    board.photo()
    board.sound()
    return board


def spelled(messages: list[str]) -> re.Pattern[str]:
    """Return the pattern of these lines and no others; ⋯ is anything on a line."""
    escaped = (".+".join(map(re.escape, message.split("⋯"))) for message in messages)
    return re.compile("".join(f"{line}\n" for line in escaped))


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_each_fault_ends_with_located_words_and_nothing_written(
    fault: Fault, board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    fault.make(board)
    board.file.write_bytes(fault.written)
    there = sorted(board.folder.iterdir())
    assert run(["assemble", "board.yaml"]) == 1
    out, err = capsys.readouterr()
    assert spelled(fault.messages()).fullmatch(err), err
    assert out == ""
    assert sorted(board.folder.iterdir()) == there


def test_the_boards_of_the_table_are_sound_but_for_their_faults(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    for text in (top("title: Low Water"), one("duration: 48f"), two("", ", shot: 20")):
        board.write(text)
        assert run(["check", "board.yaml"]) == 0, capsys.readouterr().err


def test_the_table_has_no_fault_twice() -> None:
    assert len({fault.name for fault in FAULTS}) == len(FAULTS) >= 45


@pytest.mark.parametrize("name", ["a key twice", "no such photo", "bytes of cp1252"])
def test_a_fault_in_a_process_of_its_own(name: str, board: BoardFolder) -> None:
    fault = next(fault for fault in FAULTS if fault.name == name)
    fault.make(board)
    board.file.write_bytes(fault.written)
    command = [sys.executable, "-c", "from animatic.cli import main; main()", "assemble", "."]
    done = subprocess.run(command, capture_output=True, text=True, cwd=board.folder)
    assert (done.returncode, done.stdout) == (1, "")
    assert spelled(fault.messages()).fullmatch(done.stderr)
    assert not (board.folder / "out").exists()


def test_every_fault_is_told_at_once(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    fault = Fault(
        "ten",
        "board: 1\n"
        "rate: §26\n"
        "picture: {size: 160x90, fit: §fill}\n"
        "§colour: warm\n"
        "lettering: {font: §none.ttf}\n"
        "music: [{file: a.wav, until: §shot 90}]\n"
        "panels:\n"
        "  - {shot: 10, photo: §gone.jpg, setup: §quay}\n"
        "  - {photo: a.jpg, duration: §3, crop: §{width: 0}}\n"
        "  - {shot: 20, photo: a.jpg}\n"
        "  - {shot: §10, photo: a.jpg}\n",
        (
            "rate: found 26; allowed: 12, 15, 24, 25, 30, 23.976, 29.97, 59.94",
            "picture.fit: found fill; allowed: cover or contain",
            f"the board: the key colour is not known; allowed: {TOP}",
            "lettering.font: none.ttf is not there",
            "music[1].until: there is no shot 90; allowed: a shot: 10, 20",
            "panels[1].photo: gone.jpg is not there",
            "panels[1].setup: there is no setup quay;"
            " write setups: with quay: {place: ...} under it",
            f"panels[2].duration: the bare number 3; allowed: {LENGTHS};"
            " write 3s for seconds or 3f for frames",
            "panels[2].crop: the rectangle has no area; allowed: width and height above 0",
            "panels[4].shot: shot 10 was there before, on line 8, and other shots since;"
            " one shot lies from cut to cut: name this one 10B",
        ),
    )
    board.write(fault.written)
    assert run(["assemble", "board.yaml"]) == 1
    assert capsys.readouterr().err.splitlines() == fault.messages()
    assert not (board.folder / "out").exists()


def test_a_file_too_large_for_a_board(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write(b"#" * 20_000_001)
    assert run(["check", "board.yaml"]) == 1
    expected = "board.yaml:1:1: the file has 20000001 bytes, too many for a board\n"
    assert capsys.readouterr() == ("", expected)


def test_brackets_without_end_are_told_in_time(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write("board: 1\npanels: " + "[" * 100_000)
    assert run(["check", "board.yaml"]) == 1
    assert capsys.readouterr().err.startswith("board.yaml:2:")


@pytest.mark.skipif(
    hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may read whatever it likes"
)
def test_files_that_may_not_be_read(board: BoardFolder, capsys: pytest.CaptureFixture[str]) -> None:
    fault = Fault(
        "no permission",
        one("sounds: [{file: §a.wav}]").replace("photo: ", "photo: §"),
        (
            f"panels[1].photo: a.jpg: the file may not be read; look at its permissions; {AGAIN}",
            "panels[1].sounds[1].file: a.wav: the file cannot be opened (Permission denied);"
            f" {EXPORT}",
        ),
    )
    board.write(fault.written)
    for name in ("a.jpg", "a.wav"):
        board.path(name).chmod(0)
    assert run(["check", "board.yaml"]) == 1
    assert capsys.readouterr().err.splitlines() == fault.messages()
