"""`check`: what an author would get wrong is found, with file and line; what is good is left alone."""

import dataclasses
from pathlib import Path

import pytest

from airside.teach.build import build
from airside.teach.check import check_lesson, report
from airside.teach.kind_check import kind_problems
from airside.teach.kinds import QUESTION_KINDS
from airside.teach.lesson import LESSON_FILE
from airside.teach.link_check import anchor, link_problem, links_of
from airside.teach.reading_level import grade, syllables

QUESTION = '```airside question\nkind = "humidity_ratio_at_altitude"\nseed = 11\n```'
STORY = "The clinic in this story is invented."
KIND = QUESTION_KINDS["humidity_ratio_at_altitude"]


def said(folder, weight="mistake", *, run=False):
    return [f for f in check_lesson(folder, run=run) if f.weight == weight]


def test_a_new_lesson_passes_once_it_is_built(folder):
    (hint, _) = check_lesson(folder)
    assert hint.weight == "hint"
    assert hint.message.startswith("the notebook is not there yet. Build it: airside author build")
    build(folder)
    found = check_lesson(folder)
    assert [f.weight for f in found] == ["information"]
    assert "reading level: school year" in found[0].message and "minutes with its parts" in found[0].message


def test_an_untouched_template_is_no_lesson_yet(untouched):
    file = untouched / LESSON_FILE
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('title = "Damp"', 'title = "My lesson"'), encoding="utf-8")
    found = [f for f in said(untouched)]
    assert found[0].message.startswith('the title is still "My lesson".')
    assert found[1].message.startswith('next_says still asks you: "Say here what the next lesson is about."')
    assert found[1].line == text.splitlines().index('next_says = "Say here what the next lesson is about."') + 1
    assert all("the template's own story still stands here" in f.message for f in found[2:])
    # The story, the description of the picture, and what is said about it.
    lines = text.splitlines()
    assert [lines[f.line - 1][:22] for f in found[2:]] == [
        "## A damp morning in t", "The clinic in this sto", "```airside picture", "Find the archive on th",
    ]  # fmt: skip
    assert '"Its archive lies in the basement' in found[3].message and "and 2 more" in found[3].message


def test_the_template_without_its_story_passes(folder):
    assert said(folder) == []


def test_a_lesson_that_sends_nobody_anywhere_needs_no_closing_sentence(folder):
    file = folder / LESSON_FILE
    text = file.read_text(encoding="utf-8").replace(
        " Local codes, the manufacturer's instructions and licensed practice come first.", ""
    )
    for word in ("live wires", "fan", "duct"):
        text = text.replace(f" {word}", " thing")
    file.write_text(text.replace("will_the_thing_sweat", "will_the_duct_sweat"), encoding="utf-8")
    assert not [f for f in said(folder) if "equipment" in f.message]


def test_a_notebook_that_is_not_what_the_folder_gives(folder):
    place = build(folder)
    text = place.read_text(encoding="utf-8")
    lines = (folder / LESSON_FILE).read_text(encoding="utf-8").splitlines()
    place.write_text(text.replace("Exercise: Humidity ratio", "Exercise: Humility ratio", 1), encoding="utf-8")
    (found,) = said(folder, run=True)
    assert found.file == str(place) and "is not what the folder gives" in found.message
    line = lines.index('kind = "humidity_ratio_at_altitude"', 50)
    assert f"belongs to line {line} of the lesson" in found.message
    place.write_text("{}", encoding="utf-8")
    assert "is not what the folder gives" in said(folder, run=True)[0].message
    place.write_bytes(b"\xff\xfe")
    assert "cannot be read" in said(folder, run=True)[0].message


# What is changed, into what, the line of it from the change's own, and what is said.
CASES = [
    (STORY, "Short.", None, "mistake", "the story is missing: before the first picture"),
    (QUESTION, "", None, "mistake", "there are 4 exercises; expected 5 or more"),
    (QUESTION, QUESTION.replace("11", "3"), 0, "mistake", "the same question with the same numbers stands on line"),
    ('kind = "field"', 'kind = "caution"', None, "mistake", "why it matters in the field is missing."),
    ('kind = "caution"', 'kind = "field"', None, "mistake", "the cautions are missing."),
    ('describes = "The attic\'s air', 'describes = ""\n# "', -2, "mistake", "the picture has no description."),
    ("## Exercises", "# Exercises", 0, "mistake", '"# Exercises": the title comes from the lesson mark.'),
    ("## Exercises", "TODO write this", 0, "mistake", '"TODO" was left standing.'),
    ("## Exercises", "![a fan](fan.png)", 0, "mistake", "an image in Markdown."),
    ("## Exercises", "See [there](none.md).", 0, "mistake", 'the link "none.md" leads nowhere'),
    ("## Exercises", "a\nb [there](#No-such)", 1, "mistake", 'there is no heading "No such" in this lesson'),
    ("## Exercises", "See [there](file:///etc/passwd).", 0, "mistake", "is not taken as a link. Use https://"),
    ("## Exercises", "See [there](/etc/passwd).", 0, "mistake", "leads to no place that every reader has"),
    ("## Exercises", "See [there](https://x).", 0, "mistake", "has no host that could be one"),
    ("## Exercises", "[a]: https://example.org", 0, "mistake", "an address for a link elsewhere"),
    ("## Exercises", "It costs $5 or $6.", 0, "hint", "two dollar signs on a line"),
    (" Local codes, the manufacturer's instructions and licensed practice come first.", "", None, "mistake", 'the lesson sends somebody to equipment ("fan"), so its caution closes with: Local codes'),
    ("The attic's air and", "The archive's air and", None, "mistake", "the template's own story still stands here; write your own. \"The archive's air and"),
    ("minutes = 20", "minutes = 90", 0, "hint", "90 minutes; a lesson is meant for 20 to 40."),
    ("minutes = 20", "minutes = 40", 0, "hint", "40 minutes are stated; by its parts it is rather"),
    ('next_says = "The next one is about fans."', "", None, "hint", "it does not say what comes next."),
    ("minutes = 20", 'minutes = 20\nnext = "99_none"', 1, "hint", 'next: there is no lesson "99_none" beside this one yet'),
    ("The attic's air and the outdoor air on the chart. The outdoor air is warmer and has a lower relative humidity, yet it stands higher on the chart: it holds more water.", "Say here what is to be seen, for those who cannot see it.", None, "mistake", "the description still asks you"),
    ("Fundamentals (2017) ch. 1", "Systems", None, "hint", 'the source of humidity_ratio_at_altitude and 4 more, "ASHRAE Handbook—Fundamentals (2017) ch. 1"'),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "offset", "weight", "says"), CASES, ids=[c[4][:40] for c in CASES])
def test_each_slip_of_an_author_is_found(spoilt, old, new, offset, weight, says):
    folder, line = spoilt(old, new)
    if says.startswith("the story"):
        text = (folder / LESSON_FILE).read_text(encoding="utf-8")
        start, end = text.index("Short."), text.index("## How much water")
        (folder / LESSON_FILE).write_text(
            text[:start] + "Short.\n\n" + text[text.index("```airside picture") :], encoding="utf-8"
        )
        assert start < end
    found = [f for f in said(folder, weight) if says in f.message]
    assert found, report(check_lesson(folder, run=False))
    assert all(f.file == str(folder / LESSON_FILE) for f in found)
    if offset is not None:
        assert found[0].line == line + offset


def test_a_source_that_several_kinds_go_back_to_is_named_once(spoilt):
    folder, _ = spoilt("Fundamentals (2017) ch. 1", "Systems")
    (found,) = said(folder, "hint")
    assert "humidity_ratio_at_altitude and 4 more," in found.message


def test_an_exercise_before_the_example_is_a_hint(folder):
    file = folder / LESSON_FILE
    text = file.read_text(encoding="utf-8")
    file.write_text(
        text.replace(QUESTION, "", 1).replace("## Worked example", QUESTION + "\n\n## Worked example"), encoding="utf-8"
    )
    assert any("an exercise stands before the worked example" in f.message for f in said(folder, "hint"))


def test_good_links_are_left_alone(spoilt, tmp_path):
    (tmp_path / "02_next").mkdir()
    (tmp_path / "02_next" / LESSON_FILE).write_text("x", encoding="utf-8")
    (tmp_path / "beside us.ipynb").write_text("{}", encoding="utf-8")
    links = (
        "[a](02_next.ipynb)",
        "[b](<beside us.ipynb>)",
        "[c](https://example.org/x?y=1)",
        "[d](mailto:a@example.org)",
        "[e](#Exercises)",
        "[f](#Sources)",
    )
    spoilt("minutes = 20", 'minutes = 20\nnext = "02_next"')
    folder, _ = spoilt("## Exercises", "## Exercises\n\n" + " ".join(links))
    assert said(folder) == []


def test_mistakes_of_the_text_come_without_running_anything(spoilt):
    folder, line = spoilt("seed = 12", "seed = twelve")
    (found,) = check_lesson(folder)
    assert found.line == line and "is not TOML" in found.message
    assert report([found]).endswith("\n1 thing to mend.")


def test_a_folder_that_is_none(tmp_path):
    (found,) = check_lesson(tmp_path / "none")
    assert "there is no such folder" in found.message and found.file == str(tmp_path / "none")


def test_the_report_sorts_and_counts(spoilt):
    spoilt("minutes = 20", "minutes = 90")
    folder, _ = spoilt("## Exercises", "TODO")
    lines = report(check_lesson(folder, run=False)).splitlines()
    assert "left standing" in lines[0]
    assert ": hint: 90 minutes" in lines[1]
    assert ": information: reading level" in lines[-2]
    assert lines[-1] == "1 thing to mend, 2 to look at."


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"name": "Bad name"}, "words joined by underscores"),
        ({"title": " "}, "no title"),
        ({"kind": "magic"}, 'unknown kind "magic"'),
        ({"ask": "A building at {elevation}, {dry_bulb}. What is it?"}, "does not give relative_humidity"),
        ({"ask": KIND.ask + " {wind}?"}, "names wind, which is no parameter"),
        ({"ask": KIND.ask + " It is 70 °F outside."}, 'holds "70 °F" in one unit system'),
        ({"ask": KIND.ask.replace("?", "")}, "asks nothing"),
        ({"hints": ("One.",)}, "has 1 hints; expected 2 to 4"),
        ({"hints": ("One.", " ")}, "a hint is empty"),
        ({"source": ""}, "has no source"),
        ({"options": ("a", "b"), "because": ("a",)}, "2 options, 1 reasons"),
        ({"options": ("a", "A"), "because": ("a", "b")}, "two options are the same"),
        ({"options": ("a", "b"), "because": ("a", "b")}, "options and slips"),
        ({"slips": ()}, "knows no slips"),
        ({"slips": (*KIND.slips, KIND.slips[0])}, "two slips have one name"),
        ({"limits": (1.0, 1.0)}, "limits are not from low to high"),
    ],
)
def test_what_is_wrong_with_a_kind(changes, says):
    assert any(says in p for p in kind_problems(dataclasses.replace(KIND, **changes)))


def test_a_unit_in_the_text_may_stand_with_the_other_in_brackets():
    assert kind_problems(dataclasses.replace(KIND, ask=KIND.ask + " It is 70 °F (21 °C) outside.")) == []
    one = dataclasses.replace(KIND, ask=KIND.ask + " It is 70 °F outside.", systems=("IP",))
    assert kind_problems(one) == []


@pytest.mark.parametrize(
    ("word", "count"),
    [
        ("air", 1),
        ("humidity", 4),
        ("table", 2),
        ("gauge", 1),
        ("measured", 2),
        ("wanted", 2),
        ("rhythm", 1),
        ("superheat", 3),
        ("the", 1),
    ],
)
def test_syllables(word, count):
    assert syllables(word) == count


def test_the_grade_rises_with_long_words_and_sentences():
    plain = "The air is cold. The coil is wet. The fan runs. The duct is long. " * 6
    hard = (
        "Psychrometric considerations notwithstanding, evaporator performance deterioration necessitates instrumentation. "
        * 10
    )
    assert grade(plain) < 3 < 15 < grade(hard)
    # 15 words, 4 sentences, 15 syllables: 0.39 * 3.75 + 11.8 - 15.59.
    assert grade(plain) == pytest.approx(0.39 * 15 / 4 + 11.8 - 15.59)
    assert grade("Too short.") is None


def test_links_and_anchors():
    found = list(links_of("One [a](b.md)\ntwo ![i](p.png)\n\n- three [c](<d e.md>)"))
    assert found == [("link", "b.md", 0), ("image", "p.png", 1), ("link", "d%20e.md", 3)]
    assert anchor("What you will be *able* to do") == "What-you-will-be-able-to-do"
    assert link_problem("#What-is-it", Path(), ["What-is-it"]) == ""
