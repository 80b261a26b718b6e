"""Lessons that are spoilt: each thing gets a sentence with file and line; nothing in a lesson is ever run."""

import os
from pathlib import Path

import pytest

from airside.teach.build import cells_of, notebook_place, notebook_text
from airside.teach.finding import LessonError
from airside.teach.lesson import LESSON_FILE, Marked, Text, read_lesson
from airside.teach.marks import AsideMark, ExampleMark, PictureMark, QuestionMark
from airside.teach.references import unusable

HEAD = "```airside lesson\nnumber = 1\n"
TITLE = 'title = "Damp"'
QUESTION = '```airside question\nkind = "humidity_ratio_at_altitude"\nseed = 11\n```'
ELEVATION = 'elevation = "1000 ft"'


def wrong(folder):
    """Everything that is wrong, from reading or from what the marks name: line and sentence."""
    try:
        found = unusable(read_lesson(folder))
    except LessonError as error:
        found = error.findings
    assert all(f.file == str(folder / LESSON_FILE) for f in found)
    return [(f.line, f.message) for f in found]


def test_a_good_lesson_is_read_in_order(folder):
    lesson = read_lesson(folder)
    assert (lesson.head.number, lesson.head.title, lesson.head.minutes, lesson.head.units) == (10, "Damp", 20, "IP")
    kinds = [type(p).__name__ if isinstance(p, Text) else type(p.mark).__name__ for p in lesson.parts]
    assert kinds == [
        "Text",
        "PictureMark",
        "Text",
        "ExampleMark",
        "Text",
        *["QuestionMark"] * 5,
        "AsideMark",
        "AsideMark",
    ]
    assert len(lesson.marks(QuestionMark)) == 5 and len(lesson.marks(ExampleMark)) == 1
    assert [m.kind for m, _ in lesson.marks(AsideMark)] == ["field", "caution"]
    lines = (folder / LESSON_FILE).read_text(encoding="utf-8").splitlines()
    for part in lesson.parts:
        if isinstance(part, Marked):
            assert lines[part.line - 1].startswith("```airside ")
        else:
            assert lines[part.line - 1] == part.markdown.splitlines()[0]
    assert unusable(lesson) == []


# What is changed, into what, on which line of the change (from 0) the sentence stands, and what it says.
MARKS = [
    (TITLE, 'titel = "Damp"', 0, 'the key "titel" is not known. Did you mean "title"?'),
    (TITLE, "title = 5", 0, "title is 5; expected a text in double quotes."),
    (TITLE, 'title = ""', 0, "title is empty. Write something there."),
    (TITLE, "title = Damp", 0, "is not TOML: found `title = Damp`. Texts stand in double quotes, numbers are digits"),
    (TITLE, 'title = "Damp', 0, 'the text has no closing quotation mark in `title = "Damp`.'),
    (TITLE, "title = “Damp”", 0, "found the quotation mark “ in `title = “Damp”`. Write straight ones"),
    (TITLE, 'title = "The "damp" room"', 0, "double quotes stand inside a text; write single ones in"),
    (TITLE, r'title = "C:\damp"', 0, "a backslash stands in a text; write / or two backslashes in"),
    (TITLE, "title =", 0, "nothing stands after the = of `title =`."),
    (TITLE, 'title: "Damp"', 0, "; expected a name, an = and a value"),
    (TITLE, "", -1, "title is missing. Add a line: title = …"),
    (TITLE, 'title = "Damp"\ntitle = "Wet"', 1, 'what `title = "Wet"` sets is set already further up. Keep one'),
    ('  "say why a humidity ratio tells more than a relative humidity",', '  "say why"', 1, "a list is not whole, here or on the line before. Put a comma"),
    ('  "say why a humidity ratio tells more than a relative humidity",', '  "say why,', 0, "the text has no closing quotation mark in"),
    ("minutes = 20", "minutes = 20,5", 0, "found a comma in the number of `minutes = 20,5`. Write a point."),
    (TITLE, 'title = "<b>Damp</b>"', 0, "title: found <b>. HTML is not allowed"),
    ("minutes = 20", 'minutes = "20"', 0, 'minutes is "20"; expected a number without quotes.'),
    ("minutes = 20", "minutes = 0", 0, "minutes is 0; expected a number greater than or equal to 1."),
    ("minutes = 20", "minutes = 2026-01-01", 0, "minutes holds a date"),
    ("minutes = 20", "minutes = 20\nunits = 'metric'", 1, "units is \"metric\"; expected 'IP' or 'SI'."),
    ("minutes = 20", 'minutes = 20\nnext = "../../etc"', 1, 'next is "../../etc"; expected letters, digits, _ and - only.'),
    (QUESTION, QUESTION.replace("question", "quiz"), 0, 'unknown mark "airside quiz".'),
    (QUESTION, QUESTION.replace("airside question", "airside questions"), 0, 'Did you mean "question"?'),
    (QUESTION, QUESTION.replace(" question", ""), 0, "a mark has the word airside and one other"),
    (QUESTION, QUESTION.replace("airside question", "question"), 0, "this block is shown as code. For a mark write: airside question"),
    (QUESTION, QUESTION.replace("airside question", "airsde Question"), 0, "For a mark write: airside question"),
    (QUESTION, QUESTION.removesuffix("\n```"), 0, "the mark that begins here has no end: on line"),
    (QUESTION, QUESTION.replace("altitude", "altitud"), 1, 'Did you mean "humidity_ratio_at_altitude"?'),
    (QUESTION, QUESTION.replace("seed = 11", "seed = -1"), 2, "seed is -1; expected a number greater than or equal to 0."),
    (QUESTION, QUESTION.replace("seed = 11", "seed = 1.5"), 2, "seed is 1.5; expected a number without quotes."),
    (QUESTION, QUESTION.replace("seed = 11", "seed = true"), 2, "seed is true; expected a number without quotes."),
    (QUESTION, QUESTION.replace("seed = 11", "seed = inf"), 2, "a number without an end"),
    (QUESTION, QUESTION.replace("seed = 11\n", ""), 0, "seed is missing. Add a line: seed = …"),
    (QUESTION, "- " + QUESTION.replace("\n", "\n  "), 0, "a mark stands inside a list or a quotation."),
    (QUESTION, "> " + QUESTION.replace("\n", "\n> "), 0, "a mark stands inside a list or a quotation."),
    (QUESTION, "    " + QUESTION.replace("\n", "\n    "), 0, "this looks like a mark and is none."),
    (QUESTION, "<b>bold</b>", 0, "found <b>. HTML is not allowed in a lesson."),
    (QUESTION, "<script>alert(1)</script>", 0, "HTML is not allowed in a lesson."),
    (QUESTION, "a\nb <img src=x onerror=alert(1)>", 1, "HTML is not allowed in a lesson."),
    (QUESTION, "```airside lesson\nnumber = 2\n" + 'title = "x"\nminutes = 5\nable = ["x"]\nsources = ["x"]\n```', 0, 'a second "airside lesson" mark'),
    ('kind = "field"', 'kind = "fields"', 0, "kind is \"fields\"; expected 'field' or 'caution'."),
    ("the relative humidity looks fine.", "it is <i>fine</i>.", 0, "text: found <i>. HTML is not allowed"),
    ('shows = "psychrometric chart"', 'shows = "psychometric chart"', 0, 'there is no picture "psychometric chart". Did you mean "psychrometric chart"?'),
    (ELEVATION, "elevation = 1000", 0, "found 1000; write it as text with its unit, such as"),
    (ELEVATION, 'elevation = "1000 Btu"', 0, '"1000 Btu" is not an elevation.'),
    (ELEVATION, 'elevation = "1000 ft"\nbarometric_pressure = "29 inHg"', -1, "found elevation and barometric_pressure; give one of them."),
    (ELEVATION, 'elevatoin = "1000 ft"', 0, 'the key "elevatoin" is not known. Did you mean "elevation"?'),
    (ELEVATION, 'view = "wide"', 0, "view is \"wide\"; expected 'states' or 'full'."),
    ('relative_humidity = "55 %"', 'relative_humidity = "55 %", wet_bulb = "60 degF"', 0, "needs one humidity of"),
    ('relative_humidity = "55 %"', 'humidity = "55 %"', 0, 'the key "states.1.humidity" is not known. Did you mean "relative_humidity"?'),
    ('name = "outdoor"', 'name = "attic"', -1, 'two states are called "attic".'),
    (ELEVATION, 'processes = [{ start = "attic", end = "coil" }]', -1, 'there is no state "coil". Known are: attic, outdoor.'),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "offset", "says"), MARKS, ids=[f"{m[1][:30]!r}-{m[2]}" for m in MARKS])
def test_each_mistake_has_its_line_and_sentence(spoilt, old, new, offset, says):
    folder, line = spoilt(old, new)
    found = wrong(folder)
    assert any(says in message for _, message in found), found
    lines = [at for at, message in found if says in message]
    if offset >= 0:
        assert line + offset in lines
    else:
        # A mark that misses something is named by its first line, a wrong table by the line of its key.
        assert all(1 <= at <= line for at in lines)


def test_a_file_of_a_panel_must_be_there_and_inside(spoilt, tmp_path):
    (tmp_path / "outside.toml").write_text("x = 1", encoding="utf-8")
    panel = '```airside panel\nshows = "{shows}"\n{files}\n```'
    cases = {
        panel.format(shows="field sheet", files='visit = "../outside.toml"'): "leads out of the lesson's folder",
        panel.format(shows="field sheet", files='visit = "/etc/passwd"'): "leads out of the lesson's folder",
        panel.format(shows="field sheet", files=r'visit = "..\\outside.toml"'): "leads out of the lesson's folder",
        panel.format(shows="field sheet", files='visit = "C:/outside.toml"'): "leads out of the lesson's folder",
        panel.format(shows="field sheet", files='visit = "none.toml"'): 'there is no file "none.toml" in the lesson\'s folder.',
        panel.format(shows="field sheet", files='visit = "lesson.md"'): "lesson.md: ",
        panel.format(shows="field sheet", files='visit = "demo:none.toml"'): 'there is no demo file "none.toml". Known are: bakery/after.toml',
        panel.format(shows="field sheet", files='visit = "demo:../pyproject.toml"'): "there is no demo file",
        panel.format(shows="field sheet", files=""): 'the panel "field sheet" begins with visit; found none.',
        panel.format(shows="before and after", files='visit = "demo:bakery/after.toml"'): "begins with before and after; found visit.",
        panel.format(shows="sheet", files='visit = "demo:bakery/after.toml"'): 'there is no panel "sheet".',
    }  # fmt: skip
    previous = QUESTION
    for text, says in cases.items():
        folder, line = spoilt(previous, text)
        previous = text
        ((at, message),) = wrong(folder)
        assert says in message
        assert line <= at <= line + 2


def test_a_link_out_of_the_folder_is_not_followed(spoilt, tmp_path):
    (tmp_path / "outside.toml").write_text("x = 1", encoding="utf-8")
    folder, line = spoilt(QUESTION, '```airside panel\nshows = "field sheet"\nvisit = "inside.toml"\n```')
    (folder / "inside.toml").symlink_to(tmp_path / "outside.toml")
    assert [(at, "leads out of the lesson's folder" in m) for at, m in wrong(folder)] == [(line + 2, True)]


def test_a_visit_of_a_lesson_reads_no_table_from_elsewhere(spoilt, tmp_path):
    data = Path(__file__).parents[2] / "data" / "reading_room"
    folder, line = spoilt(QUESTION, '```airside panel\nshows = "field sheet"\nvisit = "before.toml"\n```')
    text = (data / "before.toml").read_text(encoding="utf-8")
    (tmp_path / "fan_table.csv").write_text((data / "fan_table.csv").read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "before.toml").write_text(text.replace('"fan_table.csv"', '"../fan_table.csv"'), encoding="utf-8")
    ((at, message),) = wrong(folder)
    assert at == line + 2
    assert "airflow.table names ../fan_table.csv, which leads out of the lesson's folder" in message


def test_the_lesson_mark_comes_first(folder):
    file = folder / LESSON_FILE
    text = file.read_text(encoding="utf-8")
    file.write_text("Hello.\n\n" + text, encoding="utf-8")
    assert wrong(folder) == [(1, 'something stands before the "airside lesson" mark. Put that mark first.')]
    file.write_text("# Only text\n\nNothing else.\n", encoding="utf-8")
    ((at, message),) = wrong(folder)
    assert at == 1 and "mark is missing" in message and "no marks at all" in message


@pytest.mark.parametrize("start", ["```airside question", "```python", "~~~"])
def test_a_block_without_end(folder, start):
    file = folder / LESSON_FILE
    text = file.read_text(encoding="utf-8")
    file.write_text(f"{text}\n{start}\nkind = 1\n", encoding="utf-8")
    found = wrong(folder)
    assert [at for at, _ in found] == [text.count("\n") + 2]
    assert "that begins here has no end. Close it with a line of" in found[0][1]


def test_all_mistakes_are_named_at_once(spoilt):
    spoilt(TITLE, "title = 5")
    spoilt("seed = 12", 'seed = "x"')
    folder, _ = spoilt("seed = 13", "sed = 13")
    messages = [m for _, m in wrong(folder)]
    assert len(messages) == 4
    lines = [at for at, _ in wrong(folder)]
    assert lines == sorted(lines)


@pytest.mark.parametrize(
    ("content", "says", "line"),
    [
        (b"\xff\xfe\x00", "is not UTF-8 text", 1),
        ("Grün\nGrün".encode("latin-1"), "is not UTF-8 text", 1),
        (b"one\ntwo\x00\n", "holds a zero byte", 2),
        (b"x" * 1_000_001, "has more than 1,000,000 bytes", 0),
    ],
    ids=["utf-16", "latin-1", "zero", "large"],
)
def test_a_file_that_is_no_lesson(folder, content, says, line):
    (folder / LESSON_FILE).write_bytes(content)
    with pytest.raises(LessonError) as caught:
        read_lesson(folder)
    (finding,) = caught.value.findings
    assert says in finding.message and finding.line == line


def test_windows_line_ends_and_a_byte_order_mark_do_no_harm(folder):
    file = folder / LESSON_FILE
    before = read_lesson(folder)
    file.write_bytes(b"\xef\xbb\xbf" + file.read_bytes().replace(b"\n", b"\r\n"))
    after = read_lesson(folder)
    assert (after.head, after.parts) == (before.head, before.parts)


def test_folders_that_are_none(tmp_path, folder):
    cases = {
        tmp_path / "nothing": "there is no such folder. Expected a lesson's folder with lesson.md in it.",
        folder / LESSON_FILE: "is a file, not a folder.",
        tmp_path: "there is no lesson.md here. Make a lesson with: airside author new FOLDER",
    }
    for place, says in cases.items():
        with pytest.raises(LessonError) as caught:
            read_lesson(place)
        assert says in str(caught.value)
    outside = tmp_path / "elsewhere.md"
    (folder / LESSON_FILE).rename(outside)
    (folder / LESSON_FILE).symlink_to(outside)
    with pytest.raises(LessonError, match="leads out of the lesson's folder"):
        read_lesson(folder)


CODE = '''"); import pathlib; pathlib.Path("ran.txt").touch(); ("'''


def test_a_lesson_with_code_in_its_texts_runs_none(spoilt, monkeypatch):
    toml = CODE.replace('"', '\\"')
    spoilt(TITLE, f'title = "{toml}"')
    spoilt('describes = "The', f'describes = "{toml} {{{{ 7*7 }}}} The')
    spoilt('name = "outdoor"', f'name = "{toml}"')
    folder, _ = spoilt(QUESTION, "```python\nimport pathlib; pathlib.Path('ran.txt').touch()\n```")
    monkeypatch.chdir(folder.parent)
    lesson = read_lesson(folder)
    # The name of the state is too long to be drawn; the rest is plain text.
    assert unusable(lesson) == []
    target = notebook_place(folder)
    text = notebook_text(lesson, target)
    assert not [p for p in folder.parent.rglob("ran.txt")]
    assert "7*7" in text
    for cell in cells_of(lesson, target):
        if cell.is_code:
            # One import, one call, and every argument is plain data.
            import ast

            first, second = ast.parse(cell.source).body
            assert isinstance(first, ast.ImportFrom) and first.module == "airside.teach"
            assert isinstance(second.value, ast.Call) and second.value.func.id == first.names[0].name
            for value in (*second.value.args, *(k.value for k in second.value.keywords)):
                ast.literal_eval(value)


@pytest.mark.parametrize(
    "value",
    ['"""a\\nb"""', '"it\'s"', '"\\\\"', '"\\u0022\\u0022\\u0022"', '"é ✓ \\u202e"', "[1, 2.5, true]"],
)
def test_values_come_through_unchanged(folder, value):
    import ast
    import tomllib

    from airside.teach.build import _literal

    wanted = tomllib.loads(f"x = {value}")["x"]
    assert ast.literal_eval(_literal(wanted)) == wanted


def test_an_unreadable_file(folder):
    if os.geteuid() == 0:
        pytest.skip("root reads everything")
    (folder / LESSON_FILE).chmod(0)
    with pytest.raises(LessonError, match="cannot be read"):
        read_lesson(folder)


def test_pictures_of_a_lesson_keep_their_parameters(folder):
    ((mark, _),) = read_lesson(folder).marks(PictureMark)
    assert mark.parameters["elevation"] == "1000 ft" and len(mark.parameters["states"]) == 2
