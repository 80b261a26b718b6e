"""The side-by-side check in a real browser: pairs typed, the table to copy, marks, and a visit saved with the check."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest

import airside
from airside.instruments.side_by_side import offset
from airside.units import show_difference

expect = pytest.importorskip("playwright.sync_api").expect
NOTEBOOK = "notebooks/workbench/side_by_side.ipynb"
LIBRARY = "reading_room/after.toml"
FIRST, SECOND = "First probe, dry bulb, °F", "Second probe, dry bulb, °F"
TYPED = ([75.1, 75.2, 75.0, 75.1, 75.2], [76.6, 76.6, 76.5, 76.7, 76.6])


def dry_bulb_words(first, second, units="IP"):
    """What the panel must say of two lists of readings in °F."""
    found = offset(*((np.asarray(values) - 32) / 1.8 for values in (first, second)))
    amount = show_difference(abs(found.offset), "temperature", units, decimals=2)
    word = "above" if found.offset > 0 else "below"
    return f"duct_probe_2 reads {amount} {word} duct_probe_1 in dry bulb", found


@pytest.fixture(autouse=True)
def loaded(panel):
    """Each test begins with the check of the library's visit."""
    panel.load(f"../../data/{LIBRARY}")


def type_pair(panel, first, second):
    panel.type_lines(FIRST, ", ".join(map(str, first)))
    panel.type_lines(SECOND, ", ".join(map(str, second)))


def test_it_opens_with_the_check_of_the_demo(panel, changed):
    first, second = changed(LIBRARY).side_by_side.dry_bulb
    words, _ = dry_bulb_words(*(np.asarray(v) * 1.8 + 32 for v in (first, second)))
    panel.says(words)


def test_pairs_typed_move_sentence_picture_and_table(panel):
    before = panel.content()
    type_pair(panel, *TYPED)
    words, found = dry_bulb_words(*TYPED)
    panel.says(words)
    doubt = show_difference(found.standard_uncertainty, "temperature", "IP", decimals=2)
    panel.shows("Dry bulb, standard uncertainty of the offset", doubt)
    panel.new_picture(before)
    table = tomllib.loads(panel.field("Table for a visit file").input_value())["side_by_side"]
    assert table["dry_bulb"][1] == [f"{v} degF" for v in TYPED[1]]
    panel.press("SI")
    panel.says(dry_bulb_words(*TYPED, "SI")[0])
    panel.press("Undo")
    panel.says(words)


def test_lists_of_unlike_length_are_marked_and_the_result_greyed(panel):
    picture = panel.content()
    panel.type_lines(SECOND, "75.6, 75.6, 75.5")
    panel.is_greyed()
    expect(panel.wrong).to_have_count(1)
    assert panel.content() == picture
    # A table of other readings cannot be copied.
    expect(panel.field("Table for a visit file")).to_have_value("")
    panel.press("Undo")
    panel.is_greyed(False)
    expect(panel.field("Table for a visit file")).not_to_have_value("")


def test_the_visit_is_saved_with_the_check(panel, folder, changed):
    type_pair(panel, *TYPED)
    panel.field("correct the visit's readings by it").uncheck()
    panel.write("Visit file", "Save", "../../data/reading_room/checked.toml")
    saved = airside.load_visit(folder / "../../data/reading_room/checked.toml")
    np.testing.assert_allclose(np.asarray(saved.side_by_side.dry_bulb[1]) * 1.8 + 32, TYPED[1])
    assert not saved.side_by_side.apply
    assert saved.readings == changed(LIBRARY).readings
    # It comes back as it was.
    panel.load(f"../../data/{LIBRARY}")
    panel.load("../../data/reading_room/checked.toml")
    panel.says(dry_bulb_words(*TYPED)[0])
    expect(panel.field("correct the visit's readings by it")).not_to_be_checked()
