"""What does not hold across a board: names, references, lengths that fit together."""

from __future__ import annotations

from tests.boards import HEAD
from tests.faults import LENGTHS, Fault, one, top, two

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
        "panels[1].setup (shot 10): there is no setup quay-dya; allowed: quay-day;"
        " did you mean quay-day?",
    ),
    Fault(
        "a setup where none is",
        one("setup: §quay"),
        "panels[1].setup (shot 10): there is no setup quay; write setups: with quay: {place: ...}"
        " under it",
    ),
    Fault(
        "two setups in a shot",
        two(", setup: a", ", setup: §b", "setups: {a: {}, b: {}}\n"),
        "panels[2].setup (shot 10): setup b within a shot that began on line 5 on a;"
        " another camera set-up is another shot: give this panel a shot of its own",
    ),
    Fault(
        "music from shots that are not",
        top("music: [{file: a.wav, from: §shot 1, until: §shot 99}]"),
        (
            "music[1].from: there is no shot 1; allowed: 10; did you mean 10?",
            "music[1].until: there is no shot 99; allowed: 10",
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
        "panels[1].transition.dissolve (shot 10): a dissolve into the first shot, with nothing"
        " before it;"
        " write from_black",
    ),
    Fault(
        "a dissolve within a shot",
        two("", ", transition: {dissolve: §12f}"),
        "panels[2].transition.dissolve (shot 10): dissolve on panel 2 of shot 10;"
        " a transition lies at a cut: put it on the shot's first panel",
    ),
    Fault(
        "a fade out within a shot",
        two(", transition: {to_black: §12f}", ""),
        "panels[1].transition.to_black (shot 10): to_black on panel 1 of shot 10;"
        " put it on the shot's last panel",
    ),
    Fault(
        "two transitions at one cut",
        two("", ", shot: 20, transition: §{dissolve: 12f, from_black: 12f}"),
        "panels[2].transition (shot 20): a dissolve and a fade from black at one cut; leave one"
        " of them out",
    ),
    Fault(
        "black, and a dissolve from it",
        two(", transition: {to_black: §12f}", ", shot: 20, transition: {dissolve: 12f}"),
        "panels[1].transition.to_black (shot 10): shot 10 fades to black and the next one"
        " dissolves from it;"
        " leave one of them out",
    ),
    Fault(
        "a dissolve longer than its shot",
        two("", ", shot: 20, transition: {dissolve: §97f}"),
        "panels[2].transition.dissolve (shot 20): a dissolve of 97 frames takes 48 of shot 10 and"
        " 49 of shot 20, which have 48 and 48 frames for it; allowed: at most 96f; shorten it, or"
        " give shot 20 more frames",
    ),
    Fault(
        "a move after the panel",
        one("duration: 48f, move: §{to: {width: 0.5}, start: 3s}"),
        "panels[1].move (shot 10): a move from frame 72 to frame 47 of a panel with frames 0 to 47;"
        " start it earlier, shorten it, or give the panel more frames",
    ),
    Fault(
        "a move to nowhere",
        one("move: §{ease: in}"),
        "panels[1].move (shot 10): the key to is missing; it is for: the framing it ends on",
    ),
    Fault(
        "a move beyond the photo",
        one("move: {to: §{top: 0.6, height: 0.6}}"),
        "panels[1].move.to (shot 10): the rectangle stands out over the photo;"
        " allowed: left + width and top + height at most 1",
    ),
    Fault(
        "more left out than there is",
        top("music: [{file: a.wav, skip: §1s}]"),
        "music[1].skip: 1s left out of a sound of 1.000 s leaves nothing;"
        " allowed: less than 1.000s",
    ),
    Fault(
        "a first beat, and no tempo",
        top("music: [{file: a.wav, first_beat: §0.4s}]"),
        "music[1].first_beat: a first beat at 0.4s, and no bpm to count on by; write bpm beside it"
        " (animatic beats FILE listens for both), or leave it out",
    ),
    Fault(
        "a first beat without its point in seconds",
        top("music: [{file: a.wav, bpm: 96, first_beat: §0.4}]"),
        f"music[1].first_beat: the bare number 0.4; allowed: {LENGTHS}; write 0.4s for seconds",
    ),
]
