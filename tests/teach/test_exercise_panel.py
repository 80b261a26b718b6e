"""The exercise as its trainee meets it: answer, hints, steps, new numbers, units, options, and what is kept."""

import re
from html import unescape
from pathlib import Path

import pytest

from airside.compare.change import compare
from airside.errors import AirsideError
from airside.teach import example, exercise, my_progress, panel, progress_table
from airside.teach.build import cells_of
from airside.teach.exercise_panel import Exercise
from airside.teach.kinds import QUESTION_KINDS
from airside.teach.lesson import read_lesson
from airside.teach.pictures import DRAWS
from airside.teach.progress import FILE_NAME, add_record, read_progress

LESSONS = Path(__file__).resolve().parents[2] / "notebooks" / "lessons"
KIND, CHOICE = "humidity_ratio_at_altitude", "will_the_duct_sweat"


@pytest.fixture(autouse=True)
def own_folder(tmp_path, monkeypatch):
    """What is tried is kept beside the notebook: here."""
    monkeypatch.chdir(tmp_path)


def plain(widget):
    """The words of an HTML widget."""
    return unescape(re.sub(r"<[^>]+>", " ", widget.value)).replace("\xa0", " ").strip()


def answered(shown, text):
    shown.answer.value = text
    shown.check_button.click()
    return plain(shown.said)


def test_right_wrong_and_nonsense():
    shown = exercise(KIND, 11)
    right = shown.question.shown(shown.question.answer)
    assert answered(shown, right) == f"Right: {right}."
    slip, value = shown.question.slips[0]
    assert answered(shown, shown.question.shown(value)) == slip.says
    assert "is not a number with a unit" in answered(shown, "<b>much</b>")
    assert "<b>" not in shown.said.value
    assert 'role="alert"' in shown.said.value
    # Nonsense is no try.
    assert [r.outcome for r in read_progress()[0]] == ["right", "slip"]


def test_enter_checks_and_leaving_the_box_does_not():
    shown = exercise(KIND, 11)
    shown.answer.value = "70"
    assert shown.judgement is None
    shown.answer._handle_custom_msg({"event": "submit"}, None)
    assert shown.judgement is not None
    assert len(read_progress()[0]) == 1


def test_hints_come_one_after_another():
    shown = exercise(KIND, 11)
    hints = shown.kind.hints
    for count in range(1, len(hints) + 1):
        shown.hint_button.click()
        assert shown.hints.value.count("<li>") == count
        assert plain(shown.hints).startswith(hints[0])
        assert shown.hint_button.disabled == (count == len(hints))
    assert "That was the last hint" in plain(shown.hints)
    answered(shown, "70")
    assert read_progress()[0][0].hints == len(hints)


def test_the_steps_end_in_the_answer_and_name_the_source():
    shown = exercise(KIND, 11)
    shown.steps_button.click()
    words = plain(shown.steps)
    for line in shown.question.worked:
        assert line in words
    assert f"Source: {shown.kind.source}" in words
    answered(shown, "70")
    assert read_progress()[0][0].steps_shown


def test_new_numbers_begin_afresh():
    shown = exercise(KIND, 11)
    before = shown.text.value
    answered(shown, "70")
    shown.hint_button.click()
    shown.steps_button.click()
    shown.new_button.click()
    assert shown.text.value != before
    assert (shown.seed, shown.question.seed, shown.answer.value, shown.judgement) == (12, 12, "", None)
    assert [w.value for w in (shown.said, shown.hints, shown.steps)] == ["", "", ""]
    assert not shown.hint_button.disabled and not shown.steps_button.disabled


def test_units_draw_in_the_other_system_and_the_label_says_so():
    shown = exercise(KIND, 11)
    assert shown.answer.description == "Your answer, gr/lb" and "°F" in plain(shown.text)
    answered(shown, "70")
    shown.units_choice.value = "SI"
    assert shown.answer.description == "Your answer, g/kg" and "°C" in plain(shown.text)
    assert shown.answer.value == "" and shown.said.value == ""
    assert shown.question.units == "SI"
    assert answered(shown, shown.question.shown(shown.question.answer)).startswith("Right: ")


def test_the_untouched_rest_of_the_notebook_follows_the_units():
    first, second, begun, worked = exercise(KIND, 11), exercise(KIND, 12), exercise(CHOICE, 13), example(KIND, 3)
    answered(begun, "Yes")
    first.units_choice.value = "SI"
    assert [e.question.units for e in (first, second, begun, worked)] == ["SI", "SI", "IP", "SI"]
    assert second.units_choice.value == "SI"
    # What comes later in the notebook begins so too.
    assert exercise(KIND, 14).question.units == "SI"


def test_options_are_chosen_and_say_why():
    shown = exercise(CHOICE, 15)
    assert tuple(shown.answer.options) == shown.kind.options and shown.answer.value is None
    shown.check_button.click()
    assert "Choose one of the 3 answers" in plain(shown.said)
    right = round(shown.question.answer)
    for index, option in enumerate(shown.kind.options):
        words = answered(shown, option)
        assert words.startswith("Right. " if index == right else "Not this one. ")
        assert shown.kind.because[index] in words
    shown.steps_button.click()
    assert shown.kind.because[right] in plain(shown.steps)
    shown.new_button.click()
    assert shown.answer.value is None


def test_every_input_has_words():
    for shown in (exercise(KIND, 11), exercise(CHOICE, 15)):
        assert shown.answer.description
        for made in (shown.check_button, shown.hint_button, shown.steps_button, shown.new_button):
            assert made.description and made.tooltip
        assert len(shown.units_choice.tooltips) == len(shown.units_choice.options)
        assert "airside-exercise" in shown.widget._dom_classes
        assert "airside-judgement" in shown.said._dom_classes


def test_there_are_no_scores_no_grades_no_colours():
    shown = exercise(KIND, 11)
    answered(shown, "70")
    words = " ".join(w.value for w in (shown.said, shown.text, shown.heading))
    assert not re.search(r"score|grade|point|\bstars?\b|color|#[0-9a-fA-F]{3}", words, re.IGNORECASE)


def test_without_widgets_there_are_lines_of_text():
    said = exercise(KIND, 11)._repr_mimebundle_()["text/plain"].splitlines()
    assert said[0].startswith("Exercise: ") and said[1].endswith("?")
    assert said[2] == "Answer: a number in gr/lb. Needs a running kernel to be answered."
    assert "Answer: Yes / No / " in exercise(CHOICE, 15)._repr_mimebundle_()["text/plain"]
    worked = example(KIND, 3)._repr_mimebundle_()["text/plain"]
    assert worked.startswith("Worked example: ") and "\n1. " in worked and "Source: ASHRAE" in worked


def test_a_published_example_has_no_other_numbers():
    fixed = next(k for k in QUESTION_KINDS.values() if k.parameters and all(p.low == p.high for p in k.parameters))
    shown = exercise(fixed.name, 1)
    assert shown.new_button.disabled and "its own" in shown.new_button.tooltip
    assert not exercise(KIND, 11).new_button.disabled


def test_a_kind_that_does_not_exist():
    with pytest.raises(AirsideError, match='there is no question kind "magic"'):
        exercise("magic", 1)


def test_a_try_that_cannot_be_kept_is_judged_all_the_same(tmp_path):
    (tmp_path / FILE_NAME).mkdir()
    shown = exercise(KIND, 11)
    words = answered(shown, shown.question.shown(shown.question.answer))
    assert words.startswith("Right: ") and "This try could not be kept: " in words and "is a folder" in words


def test_a_damaged_file_is_set_aside_and_said(tmp_path):
    (tmp_path / FILE_NAME).write_text("no progress\n", encoding="utf-8")
    words = answered(exercise(KIND, 11), "70")
    assert "The progress file was damaged: line 1" in words
    assert (tmp_path / "my_progress.damaged-1.jsonl").read_text(encoding="utf-8") == "no progress\n"


def test_progress_follows_each_answer_and_is_written_for_a_teacher(tmp_path):
    shown, progress = exercise(KIND, 11), my_progress()
    assert "Nothing has been tried yet." in progress.table.value
    answered(shown, "70")
    assert "Humidity ratio from dry bulb" in progress.table.value
    progress.write_button.click()
    assert plain(progress.message) == "Saved my_progress.csv."
    assert (tmp_path / "my_progress.csv").read_text(encoding="utf-8").startswith("when,lesson,kind,")
    progress.write_button.click()
    assert "exists already and is left as it is. Name another file, or add another name" in plain(progress.message)
    progress.name.value = "x.txt"
    progress.write_button.click()
    assert "expected .csv" in plain(progress.message)


def test_progress_of_another_file(tmp_path):
    own = tmp_path / "mine.jsonl"
    shown = Exercise(KIND, 11, file=own)
    answered(shown, "70")
    assert own.is_file() and not (tmp_path / FILE_NAME).exists()
    assert add_record(read_progress(own)[0][0], own) == []


def test_panels_of_a_lesson():
    sheet = panel("field sheet", visit="demo:reading_room/before.toml")
    assert sheet.result is not None
    with pytest.raises(AirsideError, match='no panel "sheet"'):
        panel("sheet", visit="x.toml")
    with pytest.raises(AirsideError, match="begins with before and after"):
        panel("before and after", visit="x.toml")
    with pytest.raises(AirsideError, match=r"none\.toml"):
        panel("field sheet", visit="demo:none.toml")


def test_the_progress_table_names_the_lesson_in_which_it_was_tried(tmp_path):
    kind = QUESTION_KINDS[KIND]
    for lesson, shown in ((3, exercise(KIND, 11, lesson=3)), (kind.lesson, exercise(KIND, 12))):
        shown.answer.value = "1"
        shown.check()
        assert progress_table().records[-1].lesson == lesson
    assert [row[0] for row in progress_table().rows()] == [str(kind.lesson), "3"]


def test_a_built_exercise_says_its_lesson(tmp_path):
    lesson = read_lesson(LESSONS / "04_capacity")
    code = [c.source for c in cells_of(lesson, tmp_path / "x.ipynb") if c.is_code and "exercise(" in c.source]
    assert code and all("lesson=4" in c for c in code)


def test_a_panel_of_a_lesson_takes_fewer_draws_and_says_the_same():
    made = panel("before and after", before="demo:reading_room/before.toml", after="demo:reading_room/after.toml")
    assert made.change.draws["raw"].size <= DRAWS
    # The workbench's own takes all of them; the figure is that of the readings in both.
    whole = compare(made.visit("before"), made.visit("after"), with_budget=False)
    assert made.change.ratios["raw"].value == pytest.approx(whole.ratios["raw"].value, rel=1e-9)
    assert made.change.verdict.split("%")[0] == whole.verdict.split("%")[0]
