"""Each lesson in a real browser: it runs, an exercise answered by numbers and one by choice, and what is kept of them."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from airside.teach.progress import read_progress
from airside.units import from_inside

expect = pytest.importorskip("playwright.sync_api").expect
from lesson_page import SHOWN, LessonPage, asked_in, calls_of  # noqa: E402

TOP = Path(__file__).resolve().parents[2]
LESSONS = [file.relative_to(TOP).as_posix() for file in sorted((TOP / "notebooks" / "lessons").glob("[0-9]*.ipynb"))]
NAMES = [Path(lesson).stem for lesson in LESSONS]
PROGRESS = "notebooks/lessons/my_progress.jsonl"
A_MINUTE = re.compile(r"^\d{4}-\d\d-\d\d \d\d:\d\d$")
every_lesson = pytest.mark.parametrize("notebook", LESSONS, ids=NAMES)


@pytest.fixture
def lesson(lab):
    """The lesson's parts in the page."""
    return LessonPage(lab.page)


@pytest.fixture
def kept(server):
    """Gives the records that the trainee's file has got since the test began."""
    file = server.top / PROGRESS
    before = len(read_progress(file, set_aside=False)[0])

    def read():
        records, said = read_progress(file, set_aside=False)
        assert said == []
        return records[before:]

    return read


@pytest.fixture(autouse=True)
def project_untouched():
    """Whatever a trainee does is kept in the copy, never in the project."""
    own = TOP / PROGRESS

    def state():
        return own.read_bytes() if own.exists() else None

    before = state()
    yield
    assert state() == before


def first_numeric(notebook):
    """The first exercise that is answered by a number, with slips, in both unit systems."""
    return next(a for a in asked_in(TOP / notebook) if a.kind.slips and not a.kind.options and len(a.kind.systems) == 2)


def first_choice(notebook):
    """The first exercise that is answered by choosing, one with numbers where there is one."""
    choices = [a for a in asked_in(TOP / notebook) if a.kind.options and len(a.kind.systems) == 2]
    return next((a for a in choices if a.kind.parameters), choices[0])


def bare(question, value):
    """A value as somebody types it who leaves the unit away."""
    return f"{float(from_inside(value, question.kind.kind, question.units)):.6g}"


def test_there_are_ten_lessons():
    assert [int(name[:2]) for name in NAMES] == list(range(1, 11))


@every_lesson
def test_everything_in_it_is_shown(lab, lesson, notebook, artefacts):
    calls = calls_of(TOP / notebook)
    assert len(asked_in(TOP / notebook)) >= 5
    for name in SHOWN:
        expect(lesson.shown(name)).to_have_count(sum(called == name for called, _, _ in calls))
    described = [given["describes"] for called, _, given in calls if called == "picture"]
    images = lesson.shown("picture").locator("img")
    for place, words in enumerate(described):
        expect(images.nth(place)).to_have_attribute("alt", words)
        expect(images.nth(place)).to_have_js_property("complete", True)
        assert images.nth(place).evaluate("image => image.naturalWidth") > 300
    for asked in asked_in(TOP / notebook):
        exercise = lesson.exercise(asked)
        expect(exercise.title).to_have_text(asked.kind.title)
        expect(exercise.options).to_have_count(len(asked.kind.options))
    # Panels of a lesson begin with their visits, so that they say something.
    for place in range(lesson.shown("panel").count()):
        expect(lesson.shown("panel").nth(place).locator(".airside-head")).not_to_be_empty()
    lab.picture(artefacts / "lessons" / f"{Path(notebook).stem}.png")


@every_lesson
def test_an_exercise_answered_by_numbers(lesson, notebook, kept):
    asked = first_numeric(notebook)
    exercise = lesson.exercise(asked)
    tried = []
    for units in ("SI", "IP"):
        question = asked.drawn(units)
        exercise.in_units(units)
        exercise.asks(question)
        # What is no number is said to be none, and is no try.
        exercise.answer("as warm as toast")
        expect(exercise.said).to_contain_text("as warm as toast")
        expect(exercise.said).to_contain_text("xpected")
        assert [r.outcome for r in kept()] == [outcome for _, outcome, _ in tried]
        slip, gives = question.slips[0 if units == "IP" else -1]
        exercise.answer(bare(question, gives), enter=True)
        exercise.says(slip.says)
        lesson.settle()
        exercise.answer(question.shown(question.answer) if units == "IP" else bare(question, question.answer))
        exercise.says(f"Right: {question.shown(question.answer)}.")
        tried += [(units, "slip", slip.name), (units, "right", "")]
    assert [(r.units, r.outcome, r.slip) for r in kept()] == tried
    assert {(r.kind, r.lesson, r.seed, r.hints, r.steps_shown) for r in kept()} == {
        (asked.kind.name, asked.kind.lesson, asked.seed, 0, False)
    }
    row = lesson.progress_row(asked.kind.title)
    expect(row).to_have_text([str(asked.kind.lesson), asked.kind.title, "4", "2", "right", A_MINUTE])


@every_lesson
def test_hints_steps_and_new_numbers(lesson, notebook, kept):
    asked = first_numeric(notebook)
    exercise, hints = lesson.exercise(asked), asked.kind.hints
    for units in ("SI", "IP"):
        exercise.in_units(units)
    for given in range(1, len(hints) + 1):
        exercise.press("Hint")
        expect(exercise.hints.locator("li")).to_have_text(list(hints[:given]))
    expect(exercise.hints).to_contain_text("That was the last hint.")
    expect(exercise.button("Hint")).to_be_disabled()
    question = asked.drawn("IP")
    assert len(question.worked) >= 2
    exercise.press("Show the steps")
    expect(exercise.steps.locator("li")).to_have_text(list(question.worked))
    expect(exercise.steps).to_contain_text(f"Source: {asked.kind.source}")
    expect(exercise.button("Show the steps")).to_be_disabled()
    slip, gives = question.slips[0]
    exercise.answer(bare(question, gives))
    exercise.says(slip.says)
    (record,) = kept()
    assert (record.hints, record.steps_shown, record.slip) == (len(hints), True, slip.name)
    expect(lesson.progress_row(asked.kind.title).nth(4)).to_have_text(f"slip: {slip.name}")
    exercise.press("New numbers")
    another = asked.drawn("IP", 1)
    assert another.text != question.text
    exercise.asks(another)
    expect(exercise.button("Hint")).to_be_enabled()
    exercise.answer(bare(another, another.answer))
    exercise.says(f"Right: {another.shown(another.answer)}.")
    assert [r.seed for r in kept()] == [asked.seed, asked.seed + 1]


@every_lesson
def test_an_exercise_answered_by_choosing(lesson, notebook, kept):
    asked = first_choice(notebook)
    exercise, kind = lesson.exercise(asked), asked.kind
    tried = []
    # A question in words alone reads the same in both systems, and has no switch.
    systems = ("SI", "IP") if kind.parameters else ("IP",)
    expect(exercise.button("SI")).to_have_count(len(systems) - 1)
    for units in systems:
        question = asked.drawn(units)
        if kind.parameters:
            exercise.in_units(units)
        exercise.asks(question)
        exercise.press("Check")
        exercise.says(f"Choose one of the {len(kind.options)} answers, or type its number.")
        right = round(question.answer)
        wrong = (right + 1) % len(kind.options)
        exercise.choose(kind.options[wrong])
        exercise.says(f"Not this one. {kind.because[wrong]}")
        exercise.choose(kind.options[right])
        exercise.says(f"Right. {kind.because[right]}")
        exercise.press("Show the steps")
        expect(exercise.steps.locator("li")).to_have_text([*question.worked, kind.because[right]])
        tried += [(units, "slip", kind.options[wrong]), (units, "right", "")]
    assert [(r.units, r.outcome, r.slip) for r in kept()] == tried
    row, count = lesson.progress_row(kind.title), len(tried)
    expect(row).to_have_text([str(kind.lesson), kind.title, str(count), str(count // 2), "right", A_MINUTE])


@every_lesson
def test_untouched_parts_follow_the_units(lesson, notebook):
    exercise = lesson.exercise(first_numeric(notebook))
    examples = asked_in(TOP / notebook, "example")
    assert examples
    for units in ("SI", "IP"):
        exercise.in_units(units)
        for asked in examples:
            expect(lesson.steps_of_example(asked)).to_have_text(list(asked.drawn(units).worked))


@pytest.mark.parametrize("notebook", LESSONS[:1], ids=NAMES[:1])
def test_progress_is_written_for_a_teacher(lesson, notebook, server, kept):
    exercise = lesson.exercise(first_choice(notebook))
    exercise.press("SI")
    exercise.press("IP")
    exercise.choose(first_choice(notebook).kind.options[0])
    lesson.progress.get_by_role("textbox").fill("for_the_teacher.csv")
    lesson.progress.get_by_role("button", name="Write CSV", exact=True).click()
    message = lesson.progress.locator(".airside-message")
    expect(message).to_have_text("Saved for_the_teacher.csv.")
    with (server.top / "notebooks/lessons/for_the_teacher.csv").open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file))
    assert len(lines) == len(read_progress(server.top / PROGRESS, set_aside=False)[0])
    (record,) = kept()
    assert (lines[-1]["kind"], lines[-1]["outcome"], lines[-1]["when"]) == (record.kind, record.outcome, record.when)
    # What exists is left as it is.
    lesson.settle()
    lesson.progress.get_by_role("button", name="Write CSV", exact=True).click()
    expect(message).to_contain_text("exists already")
