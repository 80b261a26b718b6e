"""A lesson becomes a notebook: the same bytes each time, code folded away, outputs stored, nothing of the author's machine."""

import json
from pathlib import Path

import nbformat
import pytest

from airside.errors import OutputError
from airside.teach.build import METADATA, build, notebook_place, notebook_text
from airside.teach.finding import LessonError
from airside.teach.lesson import LESSON_FILE, read_lesson

TITLE = 'title = "Damp"'


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A notebook that was built once for all tests here."""
    from airside.teach.first_lesson import new_lesson

    folder = tmp_path_factory.mktemp("lessons") / "10_damp"
    new_lesson(folder)
    return folder, build(folder)


def test_it_stands_beside_the_folder_and_is_valid(built):
    folder, place = built
    assert place == folder.with_name("10_damp.ipynb")
    notebook = nbformat.read(place, as_version=4)
    nbformat.validate(notebook)
    assert notebook.metadata == METADATA and notebook.nbformat == 4 and notebook.nbformat_minor == 5


def test_built_again_it_has_the_same_bytes(built):
    folder, place = built
    before = place.read_bytes()
    assert build(folder).read_bytes() == before


def test_code_is_folded_and_outputs_are_stored(built):
    _, place = built
    cells = nbformat.read(place, as_version=4).cells
    assert [c.id for c in cells] == [f"cell-{n:03d}" for n in range(1, len(cells) + 1)]
    code = [c for c in cells if c.cell_type == "code"]
    assert len(code) == 8
    for number, cell in enumerate(code, start=1):
        assert cell.metadata == {"deletable": False, "jupyter": {"source_hidden": True}}
        assert cell.source.startswith("from airside.teach import ")
        assert cell.execution_count == number
        (output,) = cell.outputs
        # A line of text where there are no widgets; no widget's number, no state.
        assert set(output.data) == {"text/plain"}
        assert output.data["text/plain"]


def test_outputs_say_what_is_asked(built):
    _, place = built
    said = [c.outputs[0].data["text/plain"] for c in nbformat.read(place, as_version=4).cells if c.cell_type == "code"]
    assert said[0].startswith("Picture: psychrometric chart. The archive's air and the outdoor air")
    assert "Worked example: " in said[1] and "Answer: " in said[1] and "Source: ASHRAE" in said[1]
    assert said[2].startswith("Exercise: Humidity ratio")
    assert "Answer: Yes / No" in said[6]


def test_the_lesson_mark_becomes_beginning_and_end(built):
    _, place = built
    words = [c.source for c in nbformat.read(place, as_version=4).cells if c.cell_type == "markdown"]
    assert words[0].startswith("# Lesson 10: Damp\n\nAbout 20 minutes.")
    assert "## What you will be able to do\n\n- say why" in words[0]
    assert words[-1].startswith("## Sources\n\n- ASHRAE") and "## What comes next\n\nSay here" in words[-1]
    assert any(w.startswith("> **Why it matters in the field.**") for w in words)
    assert any(w.startswith("> **Caution.**") for w in words)


def test_nothing_of_the_machine_is_in_it(built):
    folder, place = built
    text = place.read_text(encoding="utf-8")
    for word in (
        str(folder.parent),
        str(Path.home()),
        str(Path(__file__).resolve().parents[2]),
        'execution": {',
        "iopub",
    ):
        assert word not in text


def test_a_next_lesson_is_linked(spoilt):
    folder, _ = spoilt(
        'next_says = "The next one is about fans."', 'next = "11_probes"\nnext_says = "Then come probes."'
    )
    cells = json.loads(notebook_text(read_lesson(folder), notebook_place(folder), run=False))["cells"]
    assert "".join(cells[-1]["source"]).endswith("Then come probes.\n\nGo on with [11 probes](11_probes.ipynb).")


def test_a_lesson_in_si_opens_in_si(spoilt):
    folder, _ = spoilt("minutes = 20", 'minutes = 20\nunits = "SI"')
    text = notebook_text(read_lesson(folder), notebook_place(folder), run=False)
    sources = ["".join(c["source"]) for c in json.loads(text)["cells"] if c["cell_type"] == "code"]
    assert all('units="SI"' in s for s in sources if "my_progress" not in s)


def test_files_are_named_from_where_the_notebook_stands(spoilt, tmp_path):
    question = '```airside question\nkind = "humidity_ratio_at_altitude"\nseed = 11\n```'
    folder, _ = spoilt(question, '```airside panel\nshows = "field sheet"\nvisit = "parts/before.toml"\n```')
    data = Path(__file__).parents[2] / "data" / "reading_room"
    (folder / "parts").mkdir()
    for name in ("before.toml", "fan_table.csv"):
        (folder / "parts" / name).write_bytes((data / name).read_bytes())
    (tmp_path / "far").mkdir()
    for place, seen in ((None, "10_damp/parts"), (tmp_path / "far" / "x.ipynb", "../10_damp/parts")):
        text = notebook_text(read_lesson(folder), notebook_place(folder, place), run=False)
        assert f'visit=\\"{seen}/before.toml\\"' in text


def test_what_cannot_be_shown_is_said_with_its_line(spoilt):
    folder, line = spoilt('relative_humidity = "55 %"', 'dew_point = "80 degF"')
    with pytest.raises(LessonError) as caught:
        build(folder)
    (finding,) = caught.value.findings
    assert finding.file == str(folder / LESSON_FILE)
    assert "cannot be shown: impossible air" in finding.message
    assert line - 6 <= finding.line <= line
    assert not folder.with_name("10_damp.ipynb").exists()


def test_a_lesson_with_mistakes_is_not_built(spoilt):
    folder, _ = spoilt("seed = 12", 'seed = "twelve"')
    with pytest.raises(LessonError, match='seed is "twelve"; expected a number'):
        build(folder)
    assert not folder.with_name("10_damp.ipynb").exists()


@pytest.mark.parametrize(
    ("name", "says"), [("x.txt", "expected .ipynb"), ("none/x.ipynb", "does not exist"), ("x", "ends in nothing")]
)
def test_places_that_do_not_do(folder, tmp_path, name, says):
    with pytest.raises(OutputError, match=says):
        notebook_place(folder, tmp_path / name)
