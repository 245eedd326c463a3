"""Slips in YAML of a person who knows none, and what each is told: the place, what to write."""

from __future__ import annotations

from tests.boards import HEAD
from tests.faults import Fault, one, photo, top

LINE = "panels[1].dialogue[1]"
SPOKEN = "who, line, voice, at, level, over, licence, note"


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
        "an apostrophe between single quotes in braces",
        said("{who: Odd, line: 'It'§s late, Odd.', note: slow}"),
        "the text between quotes ends before this, at the second ';"
        ' put the whole text between double quotes: "It\'s late, Odd."',
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
        "no first line of a panel",
        block("    duration: 2s", "    §photo: a.jpg", "    duration: 2s"),
        "panels[1] (shot 10): the keys photo, duration stand here a second time;"
        " where another entry begins, put a dash before its first key",
    ),
    Fault(
        "no first line of a setup",
        top("setups:\n  a:\n    place: Quay\n    rig: 1h\n    §place: Shed\n    rig: 1h"),
        "setups.a: the keys place, rig stand here a second time;"
        " a line that begins another entry seems to be missing above",
    ),
    Fault(
        "a dash without a space",
        f"{HEAD}panels:\n  - shot: 10\n    photo: a.jpg\n  §-shot: 20\n    photo: a.jpg\n",
        "no space stands behind the dash; write - shot: 20",
    ),
    Fault(
        "a dash of print",
        f"{HEAD}panels:\n  - shot: 10\n    photo: a.jpg\n  §– shot: 20\n    photo: a.jpg\n",
        "– is no dash; write - shot: 20",
    ),
    Fault(
        "a dash with nothing behind it",
        f"{HEAD}panels:\n  - shot: 10\n    photo: a.jpg\n  -§\n",
        "panels[2] (shot 10): nothing stands behind it;"
        " write the entry behind its dash, or take the dash out",
    ),
    Fault(
        "a colon of another script",
        block("    size§：WS", "    fit: cover"),
        "this is a colon of another kind; write size: WS",
    ),
    Fault(
        "a comma at the end of a line, behind quotes",
        block('    size: "WS"§,'),
        "a , stands behind the value; take it out",
    ),
    Fault(
        "two versions of a board",
        block("§<<<<<<< HEAD", "    size: WS", "=======", "    size: MS", ">>>>>>> b"),
        "two versions of the board meet here;"
        " keep one of them, and take the lines with <<<<<<<, ======= and >>>>>>> out",
    ),
    Fault(
        "brackets at the start of a text",
        block("    note: §[sigh] Late."),
        'a text cannot begin with [ unless it stands in quotes; write note: "[sigh] Late."',
    ),
    Fault(
        "brackets at the start of a text between braces",
        said("{who: Odd, line: §[sigh] Late.}"),
        'a text cannot begin with [ unless it stands in quotes; write line: "[sigh] Late."',
    ),
    Fault(
        "a dash at the start of a text between braces",
        said("{who: Odd, line: §- Late.}"),
        'a text cannot begin with - unless it stands in quotes; write line: "- Late."',
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
        "panels that go on with the music",
        f"{HEAD}music:\n  - file: a.wav\n  - §shot: 10\n    photo: a.jpg\n  - photo: a.jpg\n",
        "the board: the line panels: is missing;"
        " write panels: on a line of its own above this panel",
    ),
    Fault(
        "a setup as far in as the keys of the one before",
        top("setups:\n  a:\n    place: Quay\n    rig: 1h\n    §b:\n    place: Shed\n    rig: 1h"),
        "setups.a: b stands as far in as the keys of a, which come again below it;"
        " indent it by 2 to let an entry of its own begin",
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


WORD_FAULTS = [*BRACE_FAULTS, *LINE_FAULTS]
