"""Keys, values and names as people write them elsewhere, and what each is told to write."""

from __future__ import annotations

from tests.boards import HEAD, BoardFolder
from tests.faults import LENGTHS, OUTSIDE, SIZES, TOP, Fault, one, photo, top, two
from tests.faults_words import LINE, SPOKEN, said

PANEL = "shot, photo, size, setup, duration, shortest, lock, shoot_on, fit, crop, move, mirror,"
PANEL += " looks, transition, dialogue, sounds, dress, poses_per_hour, note"
ENTRIES = "allowed: a list; begin each entry on a line of its own with a dash"

KEY_FAULTS = [
    Fault(
        "a misspelt key, and its value",
        one("§duraton: §'2,5s'"),
        (
            f"panels[1] (shot 10): the key duraton is not known; allowed: {PANEL};"
            " did you mean duration?",
            f"panels[1].duration (shot 10): found 2,5s; allowed: {LENGTHS}; write 2.5s",
        ),
    ),
    Fault(
        "a misspelt photo, and no other",
        f"{HEAD}panels:\n  - {{shot: 10, §Photo: §gone.jpg}}\n",
        (
            f"panels[1] (shot 10): the key Photo is not known; allowed: {PANEL};"
            " did you mean photo?",
            "panels[1].photo (shot 10): gone.jpg is not there",
        ),
    ),
    *(
        Fault(
            f"{key} in a panel",
            one(f"§{key}: 1"),
            f"panels[1] (shot 10): the key {key} has no meaning here; {key} belongs {where}",
        )
        for key, where in {
            "tighten": "under crop:",
            "dissolve": "under transition:",
            "who": "under dialogue:",
            "voice": "under dialogue:",
            "file": "under sounds:",
            "level": "under dialogue: or sounds:",
            "ease": "under move:",
            "rate": "at the top of the board, beside panels:",
            "bpm": "under music: at the top of the board",
            "words_per_minute": "under speech: or cast: at the top of the board",
        }.items()
    ),
    Fault(
        "setup for setups",
        top("§setup: {quay: {place: §[Quay, Shed]}}"),
        (
            f"the board: the key setup is not known; allowed: {TOP}; did you mean setups?",
            "setups.quay.place: a list stands here; allowed: some words",
        ),
    ),
    Fault(
        "a photo at the top",
        top("§photo: a.jpg"),
        "the board: the key photo has no meaning here; photo belongs under panels:",
    ),
    Fault(
        "a length in a line",
        said("{who: Odd, line: Late., §duration: 2s}"),
        f"{LINE} (shot 10): the key duration has no meaning here;"
        " duration belongs further out, beside dialogue: and not under it",
    ),
    Fault(
        "a text for dialogue",
        one("dialogue: §The tide is late."),
        "panels[1].dialogue (shot 10): the text 'The tide is late.' stands here;"
        f' {ENTRIES}, as - {{who: NAME, line: "The tide is late."}}',
    ),
    Fault(
        "a text for a line, and nobody who speaks",
        said("§{§text: Late.}"),
        (
            f"{LINE} (shot 10): the key who is missing; it is for: who speaks",
            f"{LINE} (shot 10): the key text is not known; allowed: {SPOKEN}; did you mean line?",
        ),
    ),
    Fault(
        "a script for dialogue",
        said("§Odd: The tide is late."),
        f"{LINE} (shot 10): Odd stands before the words, as in a script; allowed: {SPOKEN};"
        ' write {who: Odd, line: "The tide is late."}',
    ),
    Fault(
        "a file for sounds",
        one("sounds: §a.wav"),
        f"panels[1].sounds (shot 10): the text 'a.wav' stands here; {ENTRIES},"
        " as - {file: a.wav}",
    ),
    Fault(
        "words for a transition",
        two("", ", shot: 20, transition: §dissolve 12f"),
        "panels[2].transition (shot 20): the text 'dissolve 12f' stands here; allowed: keys of its"
        " own (dissolve, from_black, to_black); as transition: {dissolve: 12f}",
    ),
    Fault(
        "a colon in a list of texts",
        top("setups: {quay: {lights: [§lamp: 40 %]}}"),
        "setups.quay.lights[1]: a mapping of keys stands here; allowed: some words;"
        ' put the text in quotes because of the colon: "lamp: 40 %"',
    ),
    Fault(
        "a dissolve by another name",
        two("", ", shot: 20, transition: {§crossfade: §12}"),
        (
            "panels[2].transition (shot 20): the key crossfade is not known;"
            " allowed: dissolve, from_black, to_black; did you mean dissolve?",
            f"panels[2].transition.dissolve (shot 20): the bare number 12; allowed: {LENGTHS};"
            " write 12s for seconds or 12f for frames",
        ),
    ),
    Fault(
        "a right edge",
        one("crop: {left: 0.1, width: 0.5, §right: 0.9}"),
        "panels[1].crop (shot 10): the key right is not known; allowed: left, top, width, height,"
        " tighten; give width in its place: the right edge less the left",
    ),
    Fault(
        "a move with a from",
        one("move: {§from: {left: 0}, to: {width: 0.5}}"),
        "panels[1].move (shot 10): the key from is not known; allowed: to, ease, start, length;"
        " a move begins at the crop of its panel: write crop: beside move:",
    ),
    Fault(
        "a text for lights",
        top("setups: {quay: {lights: §one lamp}}"),
        f"setups.quay.lights: the text 'one lamp' stands here; {ENTRIES}, as lights: [one lamp]",
    ),
]

MEANT_FAULTS = [
    *(
        Fault(
            f"{words} to rig",
            top(f"setups: {{quay: {{rig: §{words}}}}}"),
            f"setups.quay.rig: found {words}; allowed: hours and minutes, as 1h30m, 45m or 2h;"
            f" write {meant}",
        )
        for words, meant in {
            "2": "2m for minutes or 2h for hours",
            # No length has more than 24 hours.
            "90": "90m for minutes",
            "1:30": "1h30m for hours and minutes",
            "1:30:00": "1h30m",
            "1.5h": "1h30m",
            "1.5": "1h30m for hours",
            "1h30": "1h30m",
            "00:30:00:00": "30m",
        }.items()
    ),
    *(
        Fault(
            f"{words} of work in {key}",
            top(line.format(f"§{words}")),
            f"{key}: {found}; allowed: hours and minutes, as 1h30m, 45m or 2h;"
            " work is not counted in the film's frames",
        )
        for words, found in {
            "90f": "found 90f",
            "3+08": "found 3+08",
            "1h 12f": "1h 12f",
            "00:00:00:12": "found 00:00:00:12",
            "90 frames": "90 frames",
        }.items()
        for key, line in {
            "setups.quay.rig": "setups: {{quay: {{rig: {}}}}}",
            "pace.changes.place": "pace: {{changes: {{place: {}}}}}",
            "day.break_length": "day: {{break_length: {}}}",
        }.items()
    ),
    Fault(
        "frames to dress a set",
        one("dress: §90f"),
        "panels[1].dress (shot 10): found 90f; allowed: hours and minutes, as 1h30m, 45m or 2h;"
        " work is not counted in the film's frames",
    ),
    *(
        Fault(
            f"{words} to rig",
            top(f"setups: {{quay: {{rig: §{words}}}}}"),
            f"setups.quay.rig: found {words}; allowed: {allowed}",
        )
        for words, allowed in {
            "0": "a length above zero",
            "0m": "a length above zero",
            "30h": "at most 24 hours",
        }.items()
    ),
    Fault(
        "a comma at the end of a line",
        f"{HEAD}panels:\n  - shot: 10\n    photo: a.jpg\n    duration: §2s,\n",
        f"panels[1].duration (shot 10): found 2s,; allowed: {LENGTHS}; leave the , at the end out",
    ),
    Fault(
        "pixels for parts",
        one("crop: {left: §100}"),
        "panels[1].crop.left (shot 10): found 100; allowed: a number from 0 to 1;"
        " 0.5 is half of the photo",
    ),
    Fault(
        "two shots for one",
        top("music: [{file: a.wav, from: §shots 10 to 20}]"),
        "music[1].from: shots 10 to 20; allowed: the word shot and its name, as shot 10;"
        " write from: shot 10 and until: shot 20",
    ),
    Fault(
        "an ease with a hyphen",
        one("move: {to: {width: 0.5}, ease: §ease-in}"),
        "panels[1].move.ease (shot 10): found ease-in; allowed: none or in or out or both;"
        " did you mean in?",
    ),
    Fault(
        "a licence by its letters",
        top("music: [{file: a.wav, licence: §CC BY}]"),
        "music[1].licence: CC BY; allowed: to buy, bought with a receipt as bought R-1041, own, or"
        " free with terms as free CC0; write free CC BY",
    ),
    *(
        Fault(
            f"{words} for a size",
            one(f"size: §{words}"),
            f"panels[1].size (shot 10): {'' if ' ' in words else 'found '}{words};"
            f" allowed: {SIZES}; write {letters}",
        )
        for words, letters in {
            "extreme wide shot": "EWS",
            "wide shot": "WS",
            "Long Shot": "LS",
            "medium long shot": "MLS",
            "medium shot": "MS",
            "medium close-up": "MCU",
            "closeup": "CU",
            "close-up": "CU",
            "extreme close up": "ECU",
            "over the shoulder": "OTS",
            "ms ots": "MS OTS",
        }.items()
    ),
    *(
        Fault(
            f"{words} for a pace",
            top(f"shoot_on: §{words}"),
            f"shoot_on: {'' if ' ' in words else 'found '}{words};"
            f" allowed: a whole number from 1 to 8; write {number}",
        )
        for words, number in {"ones": 1, "twos": 2, "threes": 3, "on twos": 2, "2f": 2}.items()
    ),
    Fault(
        "a rate with its unit",
        top("rate: §24 fps"),
        "rate: 24 fps; allowed: 12, 15, 24, 25, 30, 23.976, 29.97, 59.94; write 24",
    ),
    Fault(
        "a level with its unit",
        one("sounds: [{file: a.wav, level: §-6 dB}]"),
        "panels[1].sounds[1].level (shot 10): -6 dB; allowed: a number from -60 to 12 (dB);"
        " write -6",
    ),
    Fault(
        "parts in percent",
        one("crop: {width: §50 %}"),
        "panels[1].crop.width (shot 10): 50 %; allowed: a number from 0 to 1; write 0.5",
    ),
    Fault(
        "a picture size with a star",
        top("").replace("160x90", "§160*90"),
        "picture.size: found 160*90; allowed: width x height in pixels, as 1920x1080; write 160x90",
    ),
    Fault(
        "a shot with a capital",
        top("music: [{file: a.wav, from: §Shot 10}]"),
        "music[1].from: Shot 10; allowed: the word shot and its name, as shot 10; write: shot 10",
    ),
    Fault(
        "a remark behind two slashes",
        one("size: §WS // wide"),
        f"panels[1].size (shot 10): WS // wide; allowed: {SIZES}; a remark begins with #",
    ),
]

NAME_FAULTS = [
    Fault(
        "after a setup that is not",
        top("setups: {quay: {}, shed: {after: [§quai]}}"),
        "setups.shed.after[1]: there is no setup quai; allowed: quay, shed; did you mean quay?",
    ),
    Fault(
        "a shot with a number sign",
        f"{HEAD}panels:\n  - shot:§ #10\n    photo: a.jpg\n",
        "panels[1].shot: nothing stands behind it; what follows a # is a remark: put the value in"
        " quotes, if it begins with #",
    ),
    Fault(
        "a shot named twice in a row",
        two("", ", shot: §10"),
        "panels[2].shot: shot 10 is named twice, at lines 4 and 5;"
        " leave shot: out of the second panel to go on with shot 10, or name it 10B",
    ),
    Fault(
        "a shot named twice, on two setups",
        two(", setup: a", ", shot: §10, setup: b", "setups: {a: {}, b: {}}\n"),
        "panels[2].shot: shot 10 is named twice, at lines 5 and 6, on the setups a and b;"
        " another setup is another shot: name it 10B",
    ),
    Fault(
        "a setup in other capitals",
        two(", setup: §Quay_Day", "", "setups: {shed: {}, quay-day: {}}\n"),
        "panels[1].setup (shot 10): there is no setup Quay_Day; allowed: shed, quay-day;"
        " did you mean quay-day?",
    ),
    Fault(
        "a shot of many that is not there",
        f"{HEAD}music: [{{file: a.wav, from: §shot 99}}]\npanels:\n"
        + "".join(f"  - {{shot: {n}, photo: a.jpg}}\n" for n in range(1, 16)),
        "music[1].from: there is no shot 99;"
        " allowed: 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 and 3 more; did you mean 9?",
    ),
    Fault(
        "a dissolve too long for the shot before it",
        f"{HEAD}panels:\n  - {{shot: 10, photo: a.jpg, duration: 10f}}\n"
        "  - shot: 20\n    photo: a.jpg\n    transition:\n      dissolve: §2s\n",
        "panels[2].transition.dissolve (shot 20): a dissolve of 48 frames takes 24 of shot 10 and"
        " 24 of shot 20, which have 10 and 48 frames for it; allowed: at most 21f; shorten it, or"
        " give shot 10 more frames",
    ),
    Fault(
        "a dissolve with no room at all",
        f"{HEAD}panels:\n  - {{shot: 10, photo: a.jpg, duration: 10f}}\n"
        "  - {shot: 20, photo: a.jpg, duration: 10f,"
        " transition: {dissolve: §21f, to_black: 10f}}\n",
        "panels[2].transition.dissolve (shot 20): a dissolve of 21 frames takes 10 of shot 10 and"
        " 11 of shot 20, which have 10 and 0 frames for it; leave it out, or give shot 20 more"
        " frames",
    ),
    Fault(
        "typeset quotes round a path",
        photo("“a.jpg”"),
        "panels[1].photo (shot 10): “a.jpg” is not there; leave these quotes out: a.jpg",
    ),
    Fault(
        "a path from a drive",
        photo("C:\\pics\\quay.jpg"),
        "panels[1].photo (shot 10): found C:\\pics\\quay.jpg; allowed: a path with forward"
        " slashes, on every system; copy it into the board's folder, and write photos/quay.jpg",
    ),
    Fault(
        "a path from home",
        photo("~/quay.jpg"),
        "panels[1].photo (shot 10): ~/quay.jpg is not there;"
        " paths start from the board's folder: copy it in, and write quay.jpg",
    ),
    Fault(
        "a photo of another ending",
        photo("a.png"),
        "panels[1].photo (shot 10): a.png is not there; there is a.jpg",
    ),
    Fault(
        "a photo without its folder",
        photo("quay.jpg"),
        "panels[1].photo (shot 10): quay.jpg is not there; there is pics/Quay.JPG",
        lambda board: board.photo("pics/Quay.JPG", format="JPEG"),
    ),
    Fault(
        "a photo in a folder outside",
        photo("../film2/a.jpg"),
        f"panels[1].photo (shot 10): ../film2/a.jpg lies outside the board's folder; {OUTSIDE}",
        lambda board: BoardFolder(board.folder.parent / "film2").photo(),
    ),
]

SLIP_FAULTS = [*KEY_FAULTS, *MEANT_FAULTS, *NAME_FAULTS]
