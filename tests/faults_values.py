"""Keys that are not known, and values that cannot be."""

from __future__ import annotations

from tests.boards import HEAD
from tests.faults import LENGTHS, SIZES, TOP, Fault, one, photo, top

VALUE_FAULTS = [
    Fault(
        "an unknown key",
        top("§titel: Low Water"),
        f"the board: the key titel is not known; allowed: {TOP}; did you mean title?",
    ),
    Fault(
        "an unknown key of a panel",
        one("crop: {§widht: 0.5}"),
        "panels[1].crop (shot 10): the key widht is not known; allowed: left, top, width, height,"
        " tighten;"
        " did you mean width?",
    ),
    Fault(
        "a key that is a word of pydantic's",
        top('§"[key]": 1'),
        f"the board: the key [key] is not known; allowed: {TOP}",
    ),
    Fault(
        "a day that its month lacks",
        top("day: {first_day: §2027-02-30}"),
        "day.first_day: found 2027-02-30; February 2027 has 28 days",
    ),
    Fault(
        "a month that no year has",
        top("day: {first_day: §2027-13-01}"),
        "day.first_day: found 2027-13-01; a year has 12 months; the month stands in the middle",
    ),
    Fault(
        "a date that no shoot has",
        top("day: {first_day: §0027-03-01}"),
        "day.first_day: found 0027-03-01; allowed: a year from 1900 to 2999",
    ),
    Fault(
        "a date in words",
        top("day: {first_day: §1 March}"),
        "day.first_day: 1 March; allowed: a date as 2027-03-01: year, month, day",
    ),
    Fault(
        "a date for the time of day",
        top("day: {start: §2027-03-01}"),
        "day.start: found 2027-03-01; allowed: a time of day, as 09:00;"
        " write first_day: 2027-03-01",
    ),
    Fault(
        "a weekday that is none",
        top("day: {days: §mon-fr}"),
        "day.days: found mon-fr; allowed: mon tue wed thu fri sat sun, as mon-fri or mon,wed,sat",
    ),
    Fault(
        "a list of weekdays",
        top("day: {days: §[mon, tue]}"),
        "day.days: a list stands here;"
        " allowed: mon tue wed thu fri sat sun, as mon-fri or mon,wed,sat",
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
        " begin each entry on a line of its own with a dash,"
        " as - {shot: 10, photo: photos/quay.jpg}",
    ),
    Fault(
        "a word for a panel",
        f"{HEAD}panels:\n  - §quay\n",
        "panels[1]: the text 'quay' stands here;"
        " allowed: keys of its own (shot, photo, size, setup, duration, shortest ...);"
        " as - {shot: 10, photo: photos/quay.jpg}",
    ),
    Fault(
        "no photo",
        f"{HEAD}panels:\n  - §{{shot: 10}}\n",
        "panels[1] (shot 10): the key photo is missing; it is for: the photo, from the board's"
        " folder",
    ),
    Fault(
        "a list for a photo",
        photo("[a.jpg]"),
        "panels[1].photo (shot 10): a list stands here; allowed: the path of a file; write a.jpg",
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
        f"panels[1].duration (shot 10): the bare number 2.5; allowed: {LENGTHS};"
        " write 2.5s for seconds",
    ),
    Fault(
        "minutes and seconds by a colon",
        one("duration: §1:30"),
        f"panels[1].duration (shot 10): found 1:30; allowed: {LENGTHS}; write 1m30s for minutes"
        " and seconds",
    ),
    Fault(
        "a negative length",
        one("duration: §-2s"),
        f"panels[1].duration (shot 10): found -2s; allowed: {LENGTHS}; a minus sign has no"
        " meaning here",
    ),
    Fault(
        "no length",
        one("duration: §0f"),
        "panels[1].duration (shot 10): found 0f; allowed: a length above zero",
    ),
    Fault(
        "a huge length",
        one("duration: §99999999999999f"),
        "panels[1].duration (shot 10): found 99999999999999f; allowed: at most 24 hours",
    ),
    Fault(
        "a length of thousands of digits",
        one(f"duration: §{'9' * 5000}s"),
        f"panels[1].duration (shot 10): a text of 5001 characters; allowed: {LENGTHS}",
    ),
    Fault(
        "a whole number of thousands of digits",
        top(f"shoot_on: §{'9' * 5000}"),
        f"shoot_on: found {'9' * 76}...; allowed: a whole number from 1 to 8",
    ),
    Fault(
        "digits of another script",
        one("duration: §١٢f"),
        f"panels[1].duration (shot 10): found ١٢f; allowed: {LENGTHS}",
    ),
    Fault(
        "frames beyond the rate",
        one("duration: §00:00:02:24"),
        "panels[1].duration (shot 10): 00:00:02:24 has 24 frames in its last part;"
        " allowed: frames 00 to 23 at 24; the last two digits count frames",
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
        "shoot_on: found 02; allowed: a whole number from 1 to 8; write 2",
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
        f"panels[1].size (shot 10): found mcu; allowed: {SIZES}; write MCU",
    ),
    Fault(
        "a fit of another name",
        one("fit: §stretch"),
        "panels[1].fit (shot 10): found stretch; allowed: cover or contain",
    ),
    Fault(
        "a negative crop",
        one("crop: {left: §-0.5}"),
        "panels[1].crop.left (shot 10): found -0.5; allowed: a number from 0 to 1",
    ),
    Fault(
        "a crop that stands out",
        one("crop: §{left: 0.7, width: 0.5}"),
        "panels[1].crop (shot 10): the rectangle stands out over the photo;"
        " allowed: left + width and top + height at most 1",
    ),
    Fault(
        "a crop without area",
        one("crop: §{height: 0}"),
        "panels[1].crop (shot 10): the rectangle has no area; allowed: width and height above 0",
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
        "start: there is no drop-frame count at 24 frames a second; write 01:00:00:00: drop-frame"
        " skips labels at 29.97 and 59.94 to keep to the clock; at 24 a second has whole frames,"
        " and there is nothing to skip",
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
