"""Files that are no YAML, or YAML of a kind that no board has."""

from __future__ import annotations

from tests.boards import HEAD
from tests.faults import UNSEEN, Fault, one, photo, top

ANCHOR = "leave it out, or put the text in quotes"

YAML_FAULTS = [
    Fault("nothing at all", "§", "the file is empty; a board begins with the line: board: 1"),
    Fault("remarks only", "§# soon\n", "the file is empty; a board begins with the line: board: 1"),
    Fault(
        "a list at the top",
        "§- shot: 10\n",
        "this is not a board; a board begins with the line: board: 1,"
        " and has its panels under the line: panels:",
    ),
    Fault("plain words", "§hello\n", "this is not a board; a board begins with the line: board: 1"),
    Fault(
        "an open quote",
        top('title: §"Low Water'),
        'the quote " opened here has no second "; put " at the end of the text, in the same line',
    ),
    Fault(
        "a tab at the line start",
        "board: 1\npicture:\n§\tsize: 160x90\n",
        "a tab stands before the first word of this line; replace the tab by spaces",
    ),
    Fault(
        "a second colon",
        top("title: The quay§: a film"),
        "a second colon stands in one line; put the text in quotes because of the colon:"
        ' title: "The quay: a film"',
    ),
    Fault(
        "an open bracket",
        f"{HEAD}panels: §[{{shot: 10}}\n",
        "the [ opened here has no ]; put ] at its end",
    ),
    Fault(
        "half a character, escaped",
        photo('"\\u§d800.jpg"').replace("§", "", 1),
        "a backslash stands in a text between double quotes; in a path write / instead;"
        " else put the text between single quotes, '...'",
    ),
    Fault(
        "a key twice",
        top("title: Low Water\n§title: High Water"),
        "the key title stands here a second time; the first is on line 3",
    ),
    Fault(
        "a key twice, deep in",
        one("crop: {left: 0.1, width: 0.5, §left: 0.2}"),
        "panels[1].crop (shot 10): the key left stands here a second time; the first is on line 4",
    ),
    Fault(
        "a key twice, and a fault elsewhere",
        top("title: a\n§title: b\nshoot_on: §often"),
        (
            "the key title stands here a second time; the first is on line 3",
            "shoot_on: found often; allowed: a whole number from 1 to 8",
        ),
    ),
    Fault(
        "an anchor and an alias",
        top("title: §&name Low Water\nstart: §*name"),
        (
            f"title: the anchor &name; boards know no anchors; {ANCHOR}",
            "start: the alias *name; write the value out again, or put the text in quotes",
        ),
    ),
    Fault(
        "an anchor at a key",
        top("§&name title: Low Water"),
        f"the anchor &name; boards know no anchors; {ANCHOR}",
    ),
    Fault(
        "an alias for a key",
        top("title: §&name Low Water\n§*name : 1"),
        (
            f"title: the anchor &name; boards know no anchors; {ANCHOR}",
            "the alias *name; write the value out again, or put the text in quotes",
        ),
    ),
    Fault(
        "a merge key",
        top("speech: §&pace {lead: 0s}\nmix: {<<: §*pace}"),
        (
            f"speech: the anchor &pace; boards know no anchors; {ANCHOR}",
            "mix.<<: the alias *pace; write the value out again, or put the text in quotes",
        ),
    ),
    Fault(
        "a bomb of aliases",
        "a: §&a [x, x]\nb: §&b [§*a, §*a]\nc: [§*b, §*b]\n",
        (
            f"a: the anchor &a; boards know no anchors; {ANCHOR}",
            f"b: the anchor &b; boards know no anchors; {ANCHOR}",
            "b[1]: the alias *a; write the value out again, or put the text in quotes",
            "b[2]: the alias *a; write the value out again, or put the text in quotes",
            "c[1]: the alias *b; write the value out again, or put the text in quotes",
            "c[2]: the alias *b; write the value out again, or put the text in quotes",
        ),
    ),
    Fault(
        "a tag",
        top("title: §!!str 12"),
        "title: the tag !!str; leave it out, or put the text in quotes",
    ),
    Fault(
        "a tag that makes objects",
        top("title: §!!python/object/apply:os.getcwd []"),
        "title: the tag !!python/object/apply:os.getcwd; leave it out, or put the text in quotes",
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
        "§board: 1\n",
        "the file is saved as UTF-16; save it in the editor with encoding UTF-8",
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
