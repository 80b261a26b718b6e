"""The author's way in a real browser: from an empty folder to a lesson that passes the check, is built, opens and runs."""

from __future__ import annotations

import pytest

from airside import load_visit
from airside.teach.check import check_lesson
from airside.teach.kinds import QUESTION_KINDS

expect = pytest.importorskip("playwright.sync_api").expect
from lesson_page import PATIENCE, Asked, LessonPage  # noqa: E402

NOTEBOOK = "notebooks/authoring/make_a_lesson.ipynb"
LESSON = "10_my_lesson"
# The whole lesson is run once [ms].
LONG = 4 * PATIENCE
FEWEST = '```airside question\nkind = "will_the_duct_sweat"\nseed = 15\n```\n'
# What an author makes of the template: a title, a place, and what comes next.
OWN_WORDS = (
    ('title = "My lesson"', 'title = "Damp papers"'), ("archive", "attic"), ("caretaker", "janitor"),
    ("Say here what the next lesson is about.", "The next one is about fans."),
)  # fmt: skip


class WorkshopPage:
    """The workshop's panel, or the finder of questions."""

    def __init__(self, page, place):
        self.page, self.root = page, page.locator(".airside-workshop").nth(place)
        self.findings = self.root.locator(".airside-findings")
        self.said, self.handed = self.findings.first, self.findings.last

    def settle(self, timeout=LONG):
        self.page.wait_for_function("() => asked.size === 0 && performance.now() - lastAsked > 150", timeout=timeout)

    def field(self, label):
        return self.root.get_by_label(label, exact=True)

    @property
    def text(self):
        return self.root.locator("textarea")

    def write(self, text):
        """Put a text in place of the lesson's."""
        self.text.fill(text)

    def press(self, words):
        self.root.get_by_role("button", name=words, exact=True).click()
        self.settle()
        expect(self.findings.filter(has_text="One moment")).to_have_count(0, timeout=LONG)


@pytest.fixture
def workshop(lab):
    """The workshop."""
    return WorkshopPage(lab.page, 0)


@pytest.fixture
def place(server):
    """The folder in which the author works."""
    return server.top / "notebooks" / "authoring"


def test_from_an_empty_folder_to_a_lesson_that_runs(labs, lab, workshop, place, artefacts):
    lesson_file = place / LESSON / "lesson.md"
    assert not lesson_file.parent.exists()
    # Before it is there, nothing can be opened or checked, and that is said.
    workshop.press("Open")
    expect(workshop.said).to_contain_text("there is no such file. Press Begin to make it.")
    workshop.press("Begin")
    expect(workshop.said).to_contain_text("is made. It is complete: change it, and check it.")
    first = lesson_file.read_text(encoding="utf-8")
    expect(workshop.text).to_have_value(first)
    assert first.count(FEWEST) == 1

    # Untouched it is nobody's lesson yet. With the author's own words, and a question too few: the check says what, and where.
    workshop.press("Check")
    expect(workshop.said).to_contain_text("the template's own story still stands here")
    own = first
    for old, new in OWN_WORDS:
        assert old in own
        own = own.replace(old, new)
    workshop.write(own.replace(FEWEST, ""))
    workshop.press("Check")
    expect(workshop.said).to_contain_text("1 thing to mend")
    expect(workshop.said).to_contain_text("there are 4 exercises; expected 5 or more")
    # What is to be mended is not built.
    assert lesson_file.read_text(encoding="utf-8") == own.replace(FEWEST, "")
    assert any(f.weight == "mistake" for f in check_lesson(lesson_file.parent, run=False))

    # A question from the finder, copied over.
    finder = WorkshopPage(lab.page, 1)
    kind = QUESTION_KINDS["total_by_enthalpies"]
    finder.field("Kinds of").select_option(f"Lesson {kind.lesson}")
    finder.settle()
    finder.field("Question").select_option(kind.title)
    finder.field("Seed").fill("5")
    finder.field("Seed").press("Tab")
    finder.settle()
    expect(finder.text).to_have_value(f'```airside question\nkind = "{kind.name}"\nseed = 5\n```')
    asked = Asked(kind, 5, 4)
    expect(finder.root.locator(".airside-question")).to_contain_text(asked.drawn("IP").text)
    whole = own.replace(FEWEST, f"{finder.text.input_value()}\n")
    workshop.write(whole)
    workshop.press("Check")
    expect(workshop.said).to_contain_text("Nothing to mend")
    workshop.press("Build the notebook")
    expect(workshop.said).to_contain_text(f"{LESSON}.ipynb is made")
    assert lesson_file.read_text(encoding="utf-8") == whole
    assert [f for f in check_lesson(lesson_file.parent, run=False) if f.weight == "mistake"] == []
    # What is there is not begun again, and a change from elsewhere is not written over.
    workshop.press("Begin")
    expect(workshop.said).to_contain_text("is not empty; what is in it stays as it is")
    lesson_file.write_text(f"{whole}\n", encoding="utf-8")
    workshop.press("Save")
    expect(workshop.said).to_contain_text("was changed elsewhere since it was opened here")
    workshop.press("Open")
    expect(workshop.text).to_have_value(f"{whole}\n")
    # A sheet for print, and a scenario with its visits.
    workshop.press("Write it")
    expect(workshop.handed).to_contain_text("Written: ")
    (sheet,) = place.glob("*.html")
    assert asked.kind.title in sheet.read_text(encoding="utf-8")
    workshop.press("Begin a scenario")
    workshop.press("Write its visits")
    expect(workshop.handed).to_contain_text("The truth, for the answer key:")
    for name in ("before", "after"):
        assert load_visit(place / LESSON / "visits" / f"{name}.toml").readings
    lab.picture(artefacts / "authoring" / "workshop.png")
    assert lab.problems() == []

    # The built lesson, as a trainee meets it.
    built = labs.open(f"notebooks/authoring/{LESSON}.ipynb")
    expect(built.page.get_by_role("heading", level=1)).to_contain_text("Lesson 10: Damp papers")
    lesson = LessonPage(built.page)
    expect(lesson.shown("exercise")).to_have_count(5)
    question = asked.drawn("IP")
    exercise = lesson.exercise(asked)
    exercise.asks(question)
    slip, gives = question.slips[0]
    exercise.answer(question.shown(gives))
    exercise.says(slip.says)
    exercise.answer(question.shown(question.answer))
    exercise.says(f"Right: {question.shown(question.answer)}.")
    expect(lesson.progress_row(kind.title).nth(2)).to_have_text("2")
    assert (place / "my_progress.jsonl").is_file()
    built.picture(artefacts / "authoring" / "built_lesson.png")
    assert built.problems() == []
