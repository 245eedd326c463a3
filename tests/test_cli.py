"""The command line: exit codes, and what is printed where."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from animatic.cli import commands, run
from tests.boards import BoardFolder, panels
from tests.small_film import FOUND, MAIN, process, small_film

MEDIA_LIBRARIES = (
    "av",
    "PIL",
    "numpy",
    "moviepy",
    "matplotlib",
    "pydub",
    "yaml",
    "pydantic",
    "rich",
)


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A board's folder, which is the current one."""
    board = small_film(tmp_path / "film")
    monkeypatch.chdir(board.folder)
    return board


Capture = pytest.CaptureFixture[str]


# ------------------------------------------------------------------------------- help


def test_alone_it_prints_its_help(capsys: Capture) -> None:
    assert run([]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("Usage: animatic [OPTIONS] [COMMAND] [ARGS]...\n")
    assert "Exit codes: 0 done; 1 the board is at fault" in out
    assert err == ""


@pytest.mark.parametrize("option", ["-h", "--help"])
def test_help_is_asked_for_by_both_names(option: str, capsys: Capture) -> None:
    assert run([option]) == 0
    assert capsys.readouterr().out.startswith("Usage: animatic")


@pytest.mark.parametrize("command", sorted(commands.commands))
def test_each_command_has_its_help(command: str, capsys: Capture) -> None:
    assert run([command, "--help"]) == 0
    out, err = capsys.readouterr()
    assert out.startswith(f"Usage: animatic {command} ")
    assert err == ""


@pytest.mark.parametrize("arguments", [["--help"], ["assemble", "--help"], ["--version"], []])
def test_help_loads_no_library_that_takes_its_time(arguments: list[str]) -> None:
    code = (
        "import sys\n"
        "from animatic.cli import run\n"
        f"code = run({arguments!r})\n"
        f"late = [name for name in {MEDIA_LIBRARIES!r} if name in sys.modules]\n"
        "print(code, late, file=sys.stderr)\n"
    )
    done = process(code=code)
    assert done.stderr.decode().splitlines()[-1] == "0 []"


@pytest.mark.parametrize("form", ["csv", "md", "json"])
def test_a_shot_list_loads_no_library_that_makes_films(board: BoardFolder, form: str) -> None:
    run(["check"])  # lengths of sounds and sizes of photos are remembered from here on
    code = (
        "import sys\n"
        "from animatic.cli import run\n"
        f"run(['shots', '--format', {form!r}])\n"
        "late = [name for name in ('moviepy', 'matplotlib', 'pydub') if name in sys.modules]\n"
        "print(late, file=sys.stderr)\n"
    )
    assert process(code=code, cwd=board.folder).stderr.decode() == "[]\n"


def test_the_version_is_the_packages(capsys: Capture) -> None:
    from importlib.metadata import version

    assert run(["--version"]) == 0
    assert capsys.readouterr().out == f"animatic {version('animatic')}\n"


# ------------------------------------------------------------------------- exit codes


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["assmble"], "No such command 'assmble'."),
        (["check", "--strickt"], "--strickt"),
        (["check", ".", "more"], "Got unexpected extra argument (more)"),
        (
            ["shots", "--format", "xls"],
            "'xls' is not one of 'table', 'csv', 'md', 'json', 'xlsx', 'pdf', 'html', 'edl',"
            " 'otio'.",
        ),
        (["check", "--format", "yaml"], "'yaml' is not one of 'text', 'json'."),
        (
            ["assemble", "--size", "large"],
            "Invalid value for '--size': large; allowed: width x height in pixels, as 1920x1080",
        ),
        (
            ["assemble", "--size", "321x180"],
            "Invalid value for '--size': 321x180; allowed: even numbers; write 320x180",
        ),
        (
            ["assemble", "--size", "64x36"],
            "Invalid value for '--size': 64x36; allowed: from 128x72 to 7680x7680",
        ),
    ],
)
def test_wrong_usage_is_2_with_the_usage(
    arguments: list[str], words: str, board: BoardFolder, capsys: Capture
) -> None:
    assert run(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("Usage: animatic ")
    assert words in err
    assert not (board.folder / "out").exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["check", "none"], "none: there is no such file or folder"),
        (["check", "x" * 400], f"{'x' * 400}: there is no such file or folder"),
        (["check", "/dev/null"], "/dev/null: this is neither a file nor a folder"),
        (["assemble", "--from", "40"], "there is no shot 40; the shots are 10, 20, 30b"),
        (
            ["assemble", "--to", "30"],
            "there is no shot 30; the shots are 10, 20, 30b; did you mean 30b?",
        ),
        (
            ["assemble", "--from", "30b", "--to", "10"],
            "shot 10 comes before shot 30b; swap the two",
        ),
    ],
)
def test_what_cannot_be_carried_out_is_2_in_words(
    arguments: list[str], words: str, board: BoardFolder, capsys: Capture
) -> None:
    assert run(arguments) == 2
    assert capsys.readouterr() == ("", f"{words}\n")
    assert not (board.folder / "out").exists()


def test_a_folder_without_a_board(tmp_path: Path, capsys: Capture) -> None:
    folder = tmp_path / "empty"
    folder.mkdir()
    assert run(["check", str(folder)]) == 2
    assert capsys.readouterr().err == f"{folder}: there is no board.yaml in this folder\n"
    (folder / "film.yaml").touch()
    (folder / "first.yml").touch()
    assert run(["check", str(folder)]) == 2
    assert capsys.readouterr().err == (
        f"{folder}: there is no board.yaml in this folder;"
        " there is film.yaml, first.yml: name that file\n"
    )


@pytest.mark.parametrize("name", [".", "board.yaml", ""])
def test_a_board_is_named_by_its_file_or_its_folder_or_not_at_all(
    name: str, board: BoardFolder, capsys: Capture
) -> None:
    assert run(["shots", "--format", "json", *([name] if name else [])]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Low Water"


def test_board_yml_will_do(board: BoardFolder, capsys: Capture) -> None:
    board.file.rename(board.folder / "board.yml")
    assert run(["check"]) == 0
    assert "board.yml: 3 shots" in capsys.readouterr().out


@pytest.mark.parametrize("target", ["a.jpg", "a.jpg/deeper", "/proc/none/out"])
def test_an_out_folder_that_cannot_be_made_is_3(
    target: str, board: BoardFolder, capsys: Capture
) -> None:
    before = board.path("a.jpg").read_bytes()
    assert run(["assemble", "--out", target]) == 3
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"{target}: the folder cannot be made (")
    assert err.endswith("); choose another with --out\n")
    assert board.path("a.jpg").read_bytes() == before


def test_a_folder_in_the_films_place_stays(board: BoardFolder, capsys: Capture) -> None:
    (board.folder / "out" / "film.mp4").mkdir(parents=True)
    assert run(["assemble"]) == 3
    expected = (
        f"{board.folder}/out/film.mp4: could not be written: Is a directory; a folder of that name"
        " is in the way: move it, or choose another name; what stood there before is unchanged\n"
    )
    assert capsys.readouterr() == ("", expected)
    assert [path.name for path in (board.folder / "out").iterdir()] == ["film.mp4"]


# ------------------------------------------------------------------------------ check


def test_check_says_what_there_is(board: BoardFolder, capsys: Capture) -> None:
    assert run(["check"]) == 0
    out, err = capsys.readouterr()
    assert (out, err) == (
        "board.yaml: 3 shots, 4 panels, 72 frames at 24, 0:03.000\n"
        "no errors; 0 findings to look at\n",
        "",
    )


def test_check_tells_findings_and_cautions_of_flashing(board: BoardFolder, capsys: Capture) -> None:
    board.write(FOUND)
    assert run(["check"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert out.splitlines() == [
        "board.yaml:10:13: shot 10: 29 frames on twos leave 1 for the last pose;"
        " 28f or 30f would be whole poses",
        "board.yaml:12:3: shot 10: panel 2 lasts 5 frames;"
        " under 6 frames a picture is hardly seen; fast cuts can flash",
        "Caution: cuts this fast can flash, and flashing pictures can hurt people with"
        " photosensitive epilepsy; see docs/cautions.md.",
        "board.yaml: 3 shots, 4 panels, 65 frames at 24, 0:02.708",
        "no errors; 2 findings to look at",
    ]


def test_strict_fails_where_there_is_a_finding(board: BoardFolder, capsys: Capture) -> None:
    assert run(["check", "--strict"]) == 0
    board.write(FOUND)
    assert run(["check", "--strict"]) == 1
    assert capsys.readouterr().out.endswith("no errors; 2 findings to look at\n")


@pytest.mark.parametrize("strict", [False, True])
def test_check_speaks_json(strict: bool, board: BoardFolder, capsys: Capture) -> None:
    board.write(FOUND)
    assert run(["check", "--format", "json", *["--strict"] * strict]) == (1 if strict else 0)
    out, err = capsys.readouterr()
    assert err == ""
    found = json.loads(out)["findings"]
    assert [(one["kind"], one["shot"], one["line"]) for one in found] == [
        ("poses", "10", 10),
        ("short", "10", 12),
    ]
    assert found[1] == {
        "kind": "short",
        "shot": "10",
        "file": "board.yaml",
        "line": 12,
        "column": 3,
        "found": "panel 2 lasts 5 frames",
        "hint": "under 6 frames a picture is hardly seen; fast cuts can flash",
    }


@pytest.mark.parametrize(
    "command", ["check", "shots", "sounds", "lines", "mouths", "plan", "pace", "compare"]
)
def test_a_faulty_board_is_told_in_json_where_json_is_asked_for(
    command: str, board: BoardFolder, capsys: Capture
) -> None:
    # A file that is not there is a fault too, but two boards are compared without it.
    board.write("board: 1\npanels:\n  - {shot: 10, photo: a.jpg}\n  - {photo: a.jpg, looks: up}\n")
    assert run([command, ".", *["board.yaml"] * (command == "compare"), "--format", "json"]) == 1
    out, err = capsys.readouterr()
    assert err == ""
    assert json.loads(out) == {
        "problems": [
            {
                "file": "board.yaml",
                "line": 4,
                "column": 27,
                "path": "panels[2].looks",
                "shot": "10",
                "found": "up",
                "allowed": "left or right",
                "hint": "",
            }
        ]
    }


def test_check_speaks_json_where_there_is_nothing_to_find(
    board: BoardFolder, capsys: Capture
) -> None:
    assert run(["check", "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"findings": []}


# ------------------------------------------------------------------------------ shots


def test_shots_as_csv_is_clean_on_standard_output(board: BoardFolder) -> None:
    done = process("shots", "--format", "csv", cwd=board.folder)
    assert (done.returncode, done.stderr) == (0, b"")
    rows = list(csv.DictReader(io.StringIO(done.stdout.decode("utf-8-sig"), newline="")))
    assert [(row["shot"], row["frames"], row["poses"]) for row in rows[:3]] == [
        ("10", "36", "18"),
        ("20", "24", "12"),
        ("30b", "12", "6"),
    ]
    assert rows[0]["dialogue"] == "Žofie: [sigh] Où?"


def test_shots_as_json_is_clean_on_standard_output(board: BoardFolder) -> None:
    done = process("shots", "--format", "json", cwd=board.folder)
    assert (done.returncode, done.stderr) == (0, b"")
    read = json.loads(done.stdout)
    assert [(shot["shot"], shot["frames"]) for shot in read["shots"]] == [
        ("10", 36),
        ("20", 24),
        ("30b", 12),
    ]
    assert read["total"]["frames"] == 72
    assert read["shots"][0]["dialogue"] == [{"who": "Žofie", "line": "[sigh] Où?"}]


def test_shots_as_markdown_is_clean_on_standard_output(board: BoardFolder) -> None:
    done = process("shots", "--format", "md", cwd=board.folder)
    assert (done.returncode, done.stderr) == (0, b"")
    table = [line for line in done.stdout.decode().splitlines() if line.startswith("|")]
    assert len(table) == 2 + 3 + 1
    assert "Žofie" in table[2]
    assert len({line.count("|") for line in table}) == 1


def test_shots_on_a_terminal_keep_brackets_as_words(board: BoardFolder, capsys: Capture) -> None:
    assert run(["shots"]) == 0
    assert "Žofie: [sigh] Où?" in capsys.readouterr().out


@pytest.mark.parametrize(
    "form",
    [
        "table",
        "csv",
        "md",
        "json",
    ],
)
def test_an_output_that_lacks_letters_is_no_fault(form: str, board: BoardFolder) -> None:
    """As on systems whose consoles and pipes are not UTF-8."""
    variables = os.environ | {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    done = process("shots", "--format", form, cwd=board.folder, env=variables)
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"30b" in done.stdout


def test_a_reader_that_goes_away_is_no_fault(board: BoardFolder) -> None:
    board.write(panels("\n".join(f"- {{shot: s{n}, photo: a.jpg}}" for n in range(600))))
    command = f'"{sys.executable}" -c "{MAIN}" shots --format csv | head -n 1'
    done = subprocess.run(command, shell=True, capture_output=True, cwd=board.folder, check=False)
    assert done.stderr == b""
    assert done.stdout.startswith((b"shot,", "\ufeffshot,".encode()))


@pytest.mark.parametrize("arguments", [["check"], ["shots", "--format", "csv"], ["--help"]])
def test_a_reader_that_is_gone_at_once_is_no_fault(
    arguments: list[str], board: BoardFolder
) -> None:
    started = subprocess.Popen(
        [sys.executable, "-c", MAIN, *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=board.folder,
    )
    assert started.stdout is not None
    started.stdout.close()
    assert started.stderr is not None
    assert started.stderr.read() == b""
    started.stderr.close()
    assert started.wait() == 0
