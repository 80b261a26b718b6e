"""The workshop as a panel: from nothing to a lesson that passes the check, and what goes wrong is said."""

import re
from html import unescape
from pathlib import Path

import pytest

from airside.teach.author_panel import EXPORTS, workshop
from airside.teach.question_finder import find_questions


@pytest.fixture(autouse=True)
def own_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def plain(widget):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", widget.value)).replace("\xa0", " ").split())


def test_from_an_empty_folder_to_a_lesson_that_passes():
    panel = workshop("10_my_lesson")
    assert panel.text.disabled
    panel.begin_button.click()
    assert "10_my_lesson/lesson.md is made" in plain(panel.said)
    assert panel.text.value == Path("10_my_lesson/lesson.md").read_text(encoding="utf-8")
    panel.check_button.click()
    assert "6 things to mend" in plain(panel.said) and "the template's own story still stands here" in plain(panel.said)
    own = (
        panel.text.value.replace("My lesson", "Damp papers").replace("archive", "attic").replace("caretaker", "janitor")
    )
    own = own.replace("Say here what the next lesson is about.", "The next one is about fans.")
    panel.text.value = own.replace("minutes = 20", "minutes = 22")
    panel.check_button.click()
    assert plain(panel.said).startswith("Nothing to mend") and "reading level" in plain(panel.said)
    assert "minutes = 22" in Path("10_my_lesson/lesson.md").read_text(encoding="utf-8")
    panel.build_button.click()
    assert "10_my_lesson.ipynb is made" in plain(panel.said) and Path("10_my_lesson.ipynb").is_file()
    panel.check_button.click()
    assert plain(panel.said).startswith("Nothing to mend.")


def test_what_is_wrong_comes_with_its_line_and_the_line_itself():
    panel = workshop("a")
    panel.begin_button.click()
    panel.text.value = panel.text.value.replace("minutes = 20", 'minutes = "<b>soon"')
    panel.check_button.click()
    said = plain(panel.said)
    assert "1 thing to mend" in said and "Line 4:" in said and 'minutes = "<b>soon"' in said
    assert "<b>soon" not in panel.said.value and 'role="alert"' in panel.said.value


def test_a_change_from_elsewhere_is_never_written_over():
    panel = workshop("a")
    panel.begin_button.click()
    file = Path("a/lesson.md")
    file.write_text("from elsewhere", encoding="utf-8")
    panel.text.value += "\nmine"
    for button in (panel.save_button, panel.check_button, panel.build_button, panel.export_button):
        button.click()
        where = panel.handed if button is panel.export_button else panel.said
        assert "was changed elsewhere" in plain(where)
        assert file.read_text(encoding="utf-8") == "from elsewhere"
    panel.open_button.click()
    assert panel.text.value == "from elsewhere"


def test_buttons_before_anything_is_there():
    panel = workshop()
    panel.begin_button.click()
    assert "Name the lesson's folder first" in plain(panel.said)
    panel.folder.value = "b"
    for button, said in (
        (panel.open_button, "Press Begin to make it"),
        (panel.save_button, "is not open here. Press Open, or Begin"),
    ):
        button.click()
        assert said in plain(panel.said)
    panel.folder.value = "../x y"
    panel.begin_button.click()
    assert "does not do" in plain(panel.said)
    panel.folder.value = "b"
    panel.begin_button.click()
    panel.begin_button.click()
    assert "is not empty; what is in it stays as it is" in plain(panel.said)
    # Another name than that of the lesson which is open.
    panel.folder.value = "c"
    panel.save_button.click()
    assert "c/lesson.md is not open here" in plain(panel.said)


@pytest.mark.parametrize("what", EXPORTS)
def test_every_hand_out(what):
    panel = workshop("a")
    panel.begin_button.click()
    panel.what.value, panel.units.value = what, "SI"
    panel.export_button.click()
    assert plain(panel.handed).startswith("Written: a_")
    panel.export_button.click()
    assert "exists already" in plain(panel.handed)
    panel.replace.value = True
    panel.export_button.click()
    assert plain(panel.handed).startswith("Written: a_")
    panel.students.value = "many"
    panel.export_button.click()
    assert ("expected numbers" in plain(panel.handed)) == (what != "pictures")


def test_a_scenario():
    panel = workshop("a")
    panel.visits_button.click()
    assert "there is no such file" in plain(panel.handed)
    panel.begin_button.click()
    panel.scenario_button.click()
    panel.seed.value = 9
    panel.visits_button.click()
    assert "a/visits/before.toml" in plain(
        panel.handed
    ) and "The truth, for the answer key: a/visits_truth.toml" in plain(panel.handed)
    assert "seed = 9" in Path("a/visits_truth.toml").read_text(encoding="utf-8")


def test_it_opens_what_is_there():
    workshop("a").begin_button.click()
    panel = workshop("a")
    assert not panel.text.disabled and "A damp morning" in panel.text.value
    assert panel._repr_mimebundle_()["text/plain"] == "The author's workshop. Needs a running kernel."


def test_find_a_question():
    finder = find_questions()
    for lesson in [value for _, value in finder.lesson.options]:
        finder.lesson.value = lesson
        assert finder.kind.value and f'kind = "{finder.kind.value}"\nseed = 1' in finder.mark.value
        assert "Answer:" in plain(finder.shown)
    first = plain(finder.shown)
    finder.seed.value = 2
    assert "seed = 2" in finder.mark.value
    finder.units.value = "SI"
    assert finder.mark.value.startswith("```airside question\n") and plain(finder.shown) != "" and first
