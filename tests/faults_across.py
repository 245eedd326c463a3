"""What does not hold across a board: names, references, lengths that fit together."""

from __future__ import annotations

from tests.boards import HEAD
from tests.faults import LENGTHS, Fault, one, top, two

LONG = "quay" * 11
LONG_SAYS = "a name of 44 characters; allowed: at most 40"
FOLLOWING_FAULTS = [
    Fault(
        "a long name of a shot, on another setup than the shot before",
        f"{HEAD}setups: {{a: {{}}, b: {{}}}}\n"
        f"music: [{{file: a.wav, until: shot {LONG}}}]\npanels:\n"
        "  - {shot: 10, photo: a.jpg, setup: a}\n"
        f"  - {{shot: §{LONG}, photo: a.jpg, setup: b}}\n"
        "  - {photo: a.jpg}\n"
        "  - {shot: 30, photo: a.jpg, setup: a}\n",
        f"panels[2].shot: {LONG_SAYS}",
    ),
    Fault(
        "a long name of the first shot",
        f"{HEAD}panels:\n  - {{shot: §{LONG}, photo: a.jpg}}\n  - {{photo: a.jpg}}\n",
        f"panels[1].shot: {LONG_SAYS}",
    ),
    Fault(
        "a long name on each panel of a shot",
        f"{HEAD}panels:\n" + f"  - {{shot: §{LONG}, photo: a.jpg}}\n" * 2,
        (f"panels[1].shot: {LONG_SAYS}", f"panels[2].shot: {LONG_SAYS}"),
    ),
    Fault(
        "a shot without its name, on another setup",
        f"{HEAD}setups: {{a: {{}}, b: {{}}}}\npanels:\n"
        "  - {shot: 10, photo: a.jpg, setup: a}\n"
        "  - {shot: §, photo: a.jpg, setup: b}\n",
        "panels[2].shot: nothing stands behind it; give it a value, or leave the key out",
    ),
    Fault(
        "a name of a shot in brackets, on another setup",
        f"{HEAD}setups: {{a: {{}}, b: {{}}}}\nmusic: [{{file: a.wav, from: shot 20}}]\npanels:\n"
        "  - {shot: 10, photo: a.jpg, setup: a}\n"
        "  - {shot: §[20], photo: a.jpg, setup: b}\n",
        "panels[2].shot: a list stands here; allowed: a name; write 20",
    ),
    Fault(
        "a long name of a setup, and a file that is missing",
        f"{HEAD}setups:\n  §{LONG}: {{place: Quay}}\n  b: {{after: [{LONG}]}}\n"
        "music: [{file: §b.wav}]\npanels:\n"
        + "".join(f"  - {{shot: {n}, photo: a.jpg, setup: {LONG}}}\n" for n in range(32)),
        (f"setups.{LONG}: {LONG_SAYS}", "music[1].file: b.wav is not there"),
    ),
    Fault(
        "a long name of a setup that is none",
        f"{HEAD}setups: {{b: {{after: [§{LONG}, §c]}}}}\npanels:\n"
        f"  - {{shot: 10, photo: a.jpg, setup: §{LONG}}}\n",
        (
            f"setups.b.after[1]: {LONG_SAYS}",
            "setups.b.after[2]: there is no setup c; allowed: b",
            f"panels[1].setup (shot 10): {LONG_SAYS}",
        ),
    ),
]
CIRCLE = "take one of them out of its after"
WAITING_FAULTS = [
    Fault(
        "setups that wait for each other, and a photo that is missing",
        two("", "").replace(
            "panels:",
            "setups:\n  mud-day: {after: [§shed]}\n  dusk: {}\n  shed: {after: [dusk, mud-day]}\n"
            "music: [{file: §b.wav}]\npanels:",
        ),
        (
            "setups.mud-day.after[1]: these setups wait for each other:"
            f" mud-day after shed, shed after mud-day; {CIRCLE}",
            "music[1].file: b.wav is not there",
        ),
    ),
    Fault(
        "two circles of setups",
        top(
            "setups: {a: {after: [b, §c]}, b: {}, c: {after: [d]}, d: {after: [b, a]},"
            " e: {after: [§e, b]}, f: {after: [§g]}, g: {after: [f]}}"
        ),
        (
            "setups.a.after[2]: these setups wait for each other:"
            f" a after c, c after d, d after a; {CIRCLE}",
            "setups.e.after[1]: setup e waits for itself; take it out of its own after",
            f"setups.f.after[1]: these setups wait for each other: f after g, g after f; {CIRCLE}",
        ),
    ),
    Fault(
        "a setup that is first and last",
        top("setups: {quay: {first: true, last: §true}, shed: {}}"),
        "setups.quay.last: this setup is shot before all others and after all others;"
        " take first or last out",
    ),
    Fault(
        "a first setup that waits for another",
        top("setups: {quay: {first: true, after: [dawn, §shed]}, shed: {}, dawn: {first: true}}"),
        "setups.quay.after[2]: quay is shot before all others (first), and here after shed;"
        " take one of the two out, or let shed be first too",
    ),
    Fault(
        "a setup after the last one",
        top(
            "setups: {quay: {last: true}, shed: {after: [§quay]},"
            " dusk: {last: true, after: [quay]}}"
        ),
        "setups.shed.after[1]: quay is shot after all others (last), and here before shed;"
        " take one of the two out, or let shed be last too",
    ),
]

ACROSS_FAULTS = [
    *WAITING_FAULTS,
    *FOLLOWING_FAULTS,
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
