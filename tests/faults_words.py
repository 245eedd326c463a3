"""Slips of a person who knows no YAML, and what each is told: the place, and what to write."""

from __future__ import annotations

from tests.boards import HEAD, BoardFolder
from tests.faults import LENGTHS, OUTSIDE, SIZES, Fault, one, photo, top, two

LINE = "panels[1].dialogue[1]"
PANEL = "shot, photo, size, setup, duration, shortest, lock, shoot_on, fit, crop, move, mirror,"
PANEL += " looks, transition, dialogue, sounds, dress, poses_per_hour, note"
SPOKEN = "who, line, voice, at, level, over, note"
ENTRIES = "allowed: a list; begin each entry on a line of its own with a dash"


def said(entry: str) -> str:
    """A board whose one panel has one line of dialogue, between braces."""
    return f"{HEAD}panels:\n  - shot: 10\n    photo: a.jpg\n    dialogue:\n      - {entry}\n"


def block(*lines: str) -> str:
    """A board of a panel with more lines than shot and photo, and one that follows."""
    more = "".join(f"{line}\n" for line in lines)
    return f"{HEAD}panels:\n  - shot: 10\n    photo: a.jpg\n{more}  - shot: 20\n    photo: a.jpg\n"


BRACE_FAULTS = [
    Fault(
        "a comma in a text between braces",
        said("{who: Odd, line: §Well, the tide is late.}"),
        f"{LINE}.line (shot 10): at the comma this text ends;"
        ' write line: "Well, the tide is late."',
    ),
    Fault(
        "a comma and a colon in a text between braces",
        said("{who: Odd, line: Well, §Pim: it is late.}"),
        f"{LINE} (shot 10): the key Pim is not known; allowed: {SPOKEN};"
        ' if it belongs to a text, write line: "Well, Pim: it is late."',
    ),
    Fault(
        "typeset quotes do not hold a comma",
        said("{who: Odd, line: §“Well, the tide is late.”}"),
        f"{LINE}.line (shot 10): at the comma this text ends;"
        ' write line: "Well, the tide is late."',
    ),
    Fault(
        "a comma for a decimal point between braces",
        one("crop: {left: §0,25, width: 0.5}"),
        "panels[1].crop.left (shot 10): a comma stands in a number; write left: 0.25",
    ),
    Fault(
        "no space behind a colon between braces",
        said("{§who:Odd, line: Late.}"),
        f"{LINE} (shot 10): no colon and space stand behind the key; write who: Odd",
    ),
    Fault(
        "no colon between braces",
        one("§size WS"),
        "panels[1] (shot 10): no colon and space stand behind the key; write size: WS",
    ),
    Fault(
        "a key without its value between braces",
        one("duration: 2s, size§"),
        "panels[1].size (shot 10): nothing stands behind it; give it a value, or leave the key out",
    ),
    Fault(
        "a # in a text between braces",
        said("{who: Odd, line: Take §#3 now.}") + "  - {shot: 20, photo: a.jpg}\n",
        "from the # on, this line is a remark, and the closing brace with it; put the text in"
        ' quotes because of the #: line: "Take #3 now."',
    ),
    Fault(
        "a # and a key after it between braces",
        said("{who: Odd, line: Take §#3 now., at: 1s}"),
        "from the # on, this line is a remark, and the closing brace with it; put the text in"
        ' quotes because of the #: line: "Take #3 now."',
    ),
    Fault(
        "a colon in a text between braces",
        said("{who: Odd, line: Late§: the tide.}"),
        "a second colon stands in one text; put the text in quotes because of the colon:"
        ' line: "Late: the tide."',
    ),
    Fault(
        "an open brace",
        f"{HEAD}panels:\n  - §{{shot: 10, photo: a.jpg\n  - {{shot: 20, photo: a.jpg}}\n",
        "the { opened here has no }; put } at its end",
    ),
    Fault(
        "a bracket for a brace",
        one("crop: {left: 0.5§]"),
        "the { opened before is closed by ]; write } here",
    ),
    Fault(
        "a brace too many",
        f"{HEAD}panels:\n  - {{shot: 10, photo: a.jpg}}§}}\n",
        "this } closes nothing; take it out, or put in what it closes",
    ),
    Fault(
        "two commas",
        one("fit: cover,§, size: WS"),
        "a comma with nothing before it; leave one comma out",
    ),
    Fault(
        "no comma behind a quote",
        said('{who: "Odd" §line: Late.}'),
        'the text between quotes ends before this, at the second "; put the whole text between'
        " single quotes: '\"Odd\" line: Late.'",
    ),
]

LINE_FAULTS = [
    Fault(
        "an open quote before another one",
        said('{who: Odd, line: §"Late.}') + '    note: "slow"\n',
        'the quote " opened here goes on over the end of the line;'
        ' put " at the end of the text, in the same line',
    ),
    Fault(
        "an apostrophe between single quotes",
        top("title: 'It'§s late'"),
        "the text between quotes ends before this, at the second ';"
        ' put the whole text between double quotes: "It\'s late"',
    ),
    Fault(
        "quotes within quotes",
        top('title: "The "§late" tide"'),
        'the text between quotes ends before this, at the second ";'
        " put the whole text between single quotes: 'The \"late\" tide'",
    ),
    Fault(
        "a backslash between double quotes",
        photo('"pics§\\quay.jpg"').replace("§", "", 1),
        "a backslash stands in a text between double quotes;"
        " in a path write / instead: pics/quay.jpg",
    ),
    Fault(
        "a sign at the start of a text",
        top("title: §@Low Water"),
        'a text cannot begin with @ unless it stands in quotes; write title: "@Low Water"',
    ),
    Fault(
        "a star at the start of a text",
        said("{who: Odd, line: §*whispers* Late.}"),
        'a text cannot begin with * unless it stands in quotes; write line: "*whispers* Late."',
    ),
    Fault(
        "a tab behind spaces",
        block("  §\tsize: WS"),
        "a tab stands before the first word of this line; replace the tab by spaces",
    ),
    Fault(
        "a space that is none",
        block("    size:§\xa0WS"),
        "a space of another kind stands here (U+00A0); replace it by a plain space",
    ),
    Fault(
        "too little before a line",
        block("   §size: WS"),
        "this line is indented by 3, its neighbours by 4; indent it by 4",
    ),
    Fault(
        "too much before a line",
        block("      §size: WS"),
        "this line is indented by 6, its neighbours by 4; indent it by 4",
    ),
    Fault(
        "a dash too far in",
        f"{HEAD}panels:\n  - shot: 10\n    photo: a.jpg\n   §- shot: 20\n",
        "this line is indented by 3, its neighbours by 2; indent it by 2",
    ),
    Fault(
        "no dash",
        block("  §shot: 15"),
        "this line stands in the column of the dashes, without a dash;"
        " indent it by 4 to go on with the entry above, or begin a new one: - shot: 15",
    ),
    Fault(
        "no dash, and keys again",
        block("    §photo: a.jpg"),
        "panels[1] (shot 10): the key photo stands here a second time; the first is on line 5;"
        " where another entry begins, put a dash before its first key",
    ),
    Fault(
        "a dash behind a colon",
        f"{HEAD}panels: §- shot: 10\n",
        "a dash stands behind a colon; begin the entry on the next line, further in;"
        " or put the text in quotes",
    ),
    Fault(
        "dashes without panels",
        f"{HEAD}§- shot: 10\n  photo: a.jpg\n",
        "a dash stands among keys;"
        " write panels: on a line of its own above it, if a panel begins here",
    ),
    Fault(
        "panels without a colon",
        f"{HEAD}§panels\n  - shot: 10\n    photo: a.jpg\n",
        "no colon stands behind this word; write panels:",
    ),
    Fault(
        "no space behind a colon",
        block("    §size:WS"),
        "no space stands behind the colon; write size: WS",
    ),
    Fault(
        "an equals sign for a colon",
        block("    §size = WS"),
        "no colon stands behind the key; write size: WS;"
        " or, if it goes on with the text above, put all of that in quotes on one line",
    ),
    Fault(
        "no space before a bracket",
        block("    §sounds:[{file: a.wav}]"),
        "panels[1] (shot 10): no colon and space stand behind the key;"
        " write sounds: and what follows",
    ),
    Fault(
        "no colon before a brace",
        block("    §crop {left: 0.5}"),
        "panels[1] (shot 10): no colon and space stand behind the key;"
        " write crop: and what follows",
    ),
    Fault(
        "no space before a bracket, and no colon within",
        block("    §sounds:[a.wav]", "    size: WS"),
        "no space stands behind the colon; write sounds: [a.wav]",
    ),
    Fault(
        "words behind a brace",
        block("    crop: {left: 0.5} §fit: cover"),
        "this stands behind the } that ends the value; take it out, or begin a new line with it",
    ),
    Fault(
        "no space behind the first colon of a panel",
        f"{HEAD}panels:\n  - §shot:10\n    photo: a.jpg\n",
        "no space stands behind the colon; write shot: 10",
    ),
    Fault(
        "a # at the start of a text between braces",
        f"{HEAD}panels:\n  - {{shot: 10, photo: §#a.jpg}}\n  - {{shot: 20, photo: a.jpg}}\n",
        "from the # on, this line is a remark, and the closing brace with it; put the text in"
        ' quotes because of the #: photo: "#a.jpg"',
    ),
    Fault(
        "a long text opened and written in one line",
        top("title: §> Low Water"),
        'a text cannot begin with > unless it stands in quotes; write title: "> Low Water"',
    ),
]

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
        "a text for lights",
        top("setups: {quay: {lights: §one lamp}}"),
        f"setups.quay.lights: the text 'one lamp' stands here; {ENTRIES}, as lights: [one lamp]",
    ),
]

MEANT_FAULTS = [
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

WORD_FAULTS = [*BRACE_FAULTS, *LINE_FAULTS, *KEY_FAULTS, *MEANT_FAULTS, *NAME_FAULTS]
