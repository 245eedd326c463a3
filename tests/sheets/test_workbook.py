"""The shot list as a workbook: real numbers, sums as formulas with their values beside them."""

from __future__ import annotations

from fractions import Fraction
from io import BytesIO

import pytest
from hypothesis import given, settings
from openpyxl import load_workbook

from animatic.sheets import xlsx
from animatic.sheets.rows import total, with_setups
from animatic.timeline.model import Timeline
from tests.sheets.test_shot_papers import SETUPS
from tests.sheets.timelines import Take, films, low_water
from tests.sheets.timelines import film as film_of


@settings(max_examples=25, deadline=None)
@given(films())
def test_the_workbook_has_real_numbers_and_sums_that_agree(timeline: Timeline) -> None:
    sheet = load_workbook(BytesIO(xlsx.write(timeline, SETUPS))).active
    columns = with_setups(SETUPS)
    last = xlsx.FIRST_ROW + len(timeline.shots) - 1
    sums = total(timeline)
    for at, column in enumerate(columns, 1):
        cells = [sheet.cell(down, at).value for down in range(xlsx.FIRST_ROW, last + 1)]
        foot = sheet.cell(last + 1, at).value
        assert sheet.cell(3, at).value == column.heading
        if column.key in ("frames", "poses", "frames_to_shoot", "panels", "seconds"):
            letter = sheet.cell(1, at).column_letter
            assert foot == f"=SUM({letter}{xlsx.FIRST_ROW}:{letter}{last})"
            # The total is rounded once, to a thousandth; what the sum adds up is not.
            slack = 0.0005 + 1e-9 if column.key == "seconds" else 0
            assert abs(sum(cells) - float(sums[column.key])) <= slack
        assert not any(sheet.cell(down, at).data_type == "f" for down in range(1, last + 1))


@settings(max_examples=25, deadline=None)
@given(films())
def test_the_sums_have_their_values_beside_the_formulas(timeline: Timeline) -> None:
    """What shows a file without reckoning, as a phone does, shows the sums all the same."""
    file = xlsx.write(timeline, SETUPS)
    formulas = load_workbook(BytesIO(file)).active
    values = load_workbook(BytesIO(file), data_only=True).active
    last = xlsx.FIRST_ROW + len(timeline.shots)
    summed = 0
    for cell in formulas[last]:
        if cell.data_type != "f":
            continue
        found = values[cell.coordinate].value
        if cell.value.startswith("=SUM("):
            [above] = zip(*values[cell.value[len("=SUM(") : -1]], strict=True)
            assert found == pytest.approx(sum(each.value for each in above), abs=1e-9)
            summed += 1
        else:
            [head] = [c.column_letter for c in formulas[3] if c.value == "Frames"]
            # 16 frames of 35 mm film are a foot (ISO 491).
            feet, frames = divmod(values[f"{head}{last}"].value, 16)
            assert found == f"{feet}+{frames:02}"
            summed += 1
    assert summed == 6
    seconds = next(c.column for c in values[3] if c.value == "Seconds")
    exact = timeline.frames / timeline.rate.fps
    assert values.cell(last, seconds).value == pytest.approx(float(exact), abs=1e-9)


def test_the_workbook_is_laid_out_to_be_read_and_printed() -> None:
    sheet = load_workbook(BytesIO(xlsx.write(low_water(), SETUPS))).active
    assert (sheet.title, sheet.freeze_panes, sheet.print_title_rows) == ("Shot list", "B4", "$3:$3")
    assert sheet.page_setup.orientation == "landscape"
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert (sheet.page_setup.fitToHeight, sheet.page_setup.fitToWidth) == (0, None)
    heads = {cell.value: cell for cell in sheet[3]}
    widths = {
        heading: next(
            each.width
            for each in sheet.column_dimensions.values()
            if each.min <= heads[heading].column <= each.max
        )
        for heading in ("Shot", "Setup", "Poses", "Dialogue", "Notes")
    }
    assert widths == {"Shot": 11, "Setup": 18, "Poses": 11, "Dialogue": 60, "Notes": 40}
    assert sheet["A1"].font.bold
    assert sheet["A1"].font.size == 14
    head, cell, foot = (sheet.cell(down, heads["Dialogue"].column) for down in (3, 4, 8))
    assert head.font.bold
    assert head.border.bottom.style == foot.border.top.style == "thin"
    assert (cell.alignment.vertical, cell.alignment.wrap_text) == ("top", True)
    number = sheet.cell(4, heads["Frames"].column)
    assert (number.alignment.horizontal, bool(number.alignment.wrap_text)) == ("right", False)
    camera = sheet.cell(4, heads["Camera"].column)
    assert (camera.value, camera.quotePrefix) == ("=low", True)


@pytest.mark.parametrize(("rate", "a_second"), [("24", 24), ("23.976", Fraction(24000, 1001))])
def test_the_seconds_of_many_short_shots_add_up(rate: str, a_second: Fraction) -> None:
    timeline = film_of(*(Take(str(n), [(8, 2)]) for n in range(1200)), rate=rate)
    sheet = load_workbook(BytesIO(xlsx.write(timeline, {}))).active
    [at] = [cell.column for cell in sheet[3] if cell.value == "Seconds"]
    cells = [sheet.cell(down, at) for down in range(xlsx.FIRST_ROW, xlsx.FIRST_ROW + 1200)]
    # At 24: 400 seconds. Far less than a frame may be lost to binary fractions.
    assert abs(sum(cell.value for cell in cells) - float(9600 / a_second)) < 1e-6
    assert {cell.number_format for cell in cells} == {"0.000"}


def test_the_feet_of_the_workbook_follow_the_frames() -> None:
    sheet = load_workbook(BytesIO(xlsx.write(low_water(), SETUPS))).active
    frames, feet = (
        next(cell.column_letter for cell in sheet[3] if cell.value == head)
        for head in ("Frames", "Feet 35 mm")
    )
    # 16 frames of 35 mm film are a foot (ISO 491).
    words = f'=INT({frames}8/16)&"+"&TEXT(MOD({frames}8,16),"00")'
    assert sheet[f"{feet}8"].value == words
    assert sheet[f"{frames}8"].value == f"=SUM({frames}4:{frames}7)"


def test_words_in_the_workbook_are_never_formulas() -> None:
    sheet = load_workbook(BytesIO(xlsx.write(low_water(title="=1+1"), SETUPS))).active
    assert (sheet["A1"].value, sheet["A1"].data_type) == ("=1+1", "s")
    assert (sheet["F4"].value, sheet["F4"].data_type) == ("=low", "s")
    assert sheet["A4"].value == "10"
    assert sheet["A8"].value == "4 shots"


def test_the_workbook_is_the_same_every_time() -> None:
    assert xlsx.write(low_water(), SETUPS) == xlsx.write(low_water(), SETUPS)
