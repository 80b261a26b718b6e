"""A press counts after what was typed before it, in whichever order the kernel works the two messages."""

import asyncio
from pathlib import Path

import pytest

from airside.show.panels import FieldSheet
from airside.show.panels.later import AFTER_TYPING

LIBRARY = Path(__file__).parents[2] / "data" / "reading_room" / "before.toml"
RETURN = "readings.return.dry_bulb"


async def until_worked():
    await asyncio.sleep(2 * AFTER_TYPING)


def test_a_name_that_arrives_after_the_press_is_the_one_that_is_written(tmp_path):
    async def late():
        sheet = FieldSheet(LIBRARY)
        sheet.files.names["visit"].value = str(tmp_path / "old.toml")
        sheet.files.save_buttons["visit"].click()
        sheet.files.names["visit"].value = str(tmp_path / "new.toml")
        await until_worked()

    asyncio.run(late())
    assert [file.name for file in tmp_path.iterdir()] == ["new.toml"]


def test_a_number_that_arrives_after_the_switch_of_units_was_typed_in_the_units_before_it():
    async def late():
        sheet = FieldSheet(LIBRARY)
        sheet.units_choice.value = "SI"
        assert sheet.units == "IP"
        sheet.form.fields[RETURN].box.value = "77, 77, 77, 77, 77, 77, 77, 77.2"
        await until_worked()
        return sheet

    sheet = asyncio.run(late())
    assert sheet.units == "SI" and sheet.form.fields[RETURN].box.value == "25, 25, 25, 25, 25, 25, 25, 25.11"
    assert sheet.visit().readings.return_air.dry_bulb == pytest.approx([25.0] * 7 + [(77.2 - 32) / 1.8])
    sheet.undo()
    assert sheet.units == "IP" and sheet.form.fields[RETURN].box.value == "77, 77, 77, 77, 77, 77, 77, 77.2"
