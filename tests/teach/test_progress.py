"""The progress file: the trainee's own, written whole, never lost, never a formula in a spreadsheet."""

import csv
import json
from io import StringIO

import pytest

from airside.errors import OutputError
from airside.teach import progress_table
from airside.teach.progress import FILE_NAME, FORMAT, HEADS, Record, add_record, read_progress


def record(**changes):
    told = {
        "when": "2026-11-25T10:00:00+00:00", "lesson": 1, "kind": "humidity_ratio_at_altitude", "title": "Humidity ratio", "seed": 7,
        "units": "IP", "outcome": "right", "slip": "", "hints": 0, "steps_shown": False,
    }  # fmt: skip
    return Record(**told | changes)


@pytest.fixture(autouse=True)
def own_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def test_records_come_back_in_order(tmp_path):
    told = [record(), record(outcome="slip", slip="saturated air", seed=8), record(outcome="wrong", units="SI")]
    for one in told:
        assert add_record(one) == []
    assert read_progress() == (told, [])
    lines = (tmp_path / FILE_NAME).read_text(encoding="utf-8").splitlines()
    assert json.loads(lines[0]) == {"format": FORMAT} and len(lines) == 4
    assert [p.name for p in tmp_path.iterdir()] == [FILE_NAME]


def test_nothing_has_been_tried():
    assert read_progress() == ([], [])
    assert str(progress_table()).endswith("Nothing has been tried yet.")
    assert "Nothing has been tried yet." in progress_table()._repr_html_()


GOOD = json.dumps({"format": FORMAT}) + "\n" + json.dumps(record().__dict__) + "\n"
DAMAGED = {
    "no progress file": (b"hello\n", "line 1", 0),
    "binary": (bytes(range(256)), "line 1", 0),
    "cut": (GOOD.encode()[:-20], "line 2 is no record", 0),
    "one bad line": (GOOD.encode() + b"{}\n" + GOOD.encode().split(b"\n")[1], "line 3 is no record", 2),
    "without its first line": (GOOD.encode().split(b"\n", 1)[1], "line 1", 1),
    "empty": (b"", "line 1", 0),
    "other outcome": (GOOD.encode().replace(b'"right"', b'"A+"'), "line 2 is no record", 0),
    "a number as text": (GOOD.encode().replace(b'"seed": 7', b'"seed": "7"'), "line 2 is no record", 0),
    "another key": (GOOD.encode().replace(b'"seed"', b'"sead"'), "line 2 is no record", 0),
    "nested": (b"[" * 100_000, "line 1", 0),
}


@pytest.mark.parametrize("name", DAMAGED)
def test_a_damaged_file_is_set_aside_whole(tmp_path, name):
    content, says, kept = DAMAGED[name]
    file = tmp_path / FILE_NAME
    file.write_bytes(content)
    # Looking at it leaves it as it is.
    assert says in str(progress_table())
    assert file.read_bytes() == content
    (said,) = add_record(record(seed=99))
    assert says in said and "It is kept as my_progress.damaged-1.jsonl" in said
    assert (tmp_path / "my_progress.damaged-1.jsonl").read_bytes() == content
    records, problems = read_progress()
    assert problems == [] and len(records) == kept + 1 and records[-1].seed == 99
    # A second one does not take the first one's place.
    file.write_bytes(b"broken again")
    add_record(record())
    assert (tmp_path / "my_progress.damaged-1.jsonl").read_bytes() == content
    assert (tmp_path / "my_progress.damaged-2.jsonl").read_bytes() == b"broken again"


def test_a_file_of_a_later_airside_is_left_as_it_is(tmp_path):
    file = tmp_path / FILE_NAME
    file.write_text('{"format": "airside progress 2"}\n', encoding="utf-8")
    for call in (lambda: add_record(record()), progress_table):
        with pytest.raises(
            OutputError, match='written by another airside \\("airside progress 2"\\); it is left as it is'
        ):
            call()
    assert file.read_text(encoding="utf-8") == '{"format": "airside progress 2"}\n'


def test_a_huge_file_is_no_progress_file(tmp_path):
    with (tmp_path / FILE_NAME).open("wb") as file:
        file.seek(11_000_000)
        file.write(b"x")
    assert "more than 10,000,000 bytes" in str(progress_table())


def test_the_table_has_a_line_for_each_question():
    for one in (
        record(outcome="wrong"),
        record(outcome="slip", slip="saturated air"),
        record(),
        record(lesson=2, kind="offset", title="Offset", outcome="wrong"),
    ):
        add_record(one)
    assert progress_table().rows() == [
        ("1", "Humidity ratio", "3", "1", "right", "2026-11-25 10:00"),
        ("2", "Offset", "1", "0", "wrong", "2026-11-25 10:00"),
    ]
    text = str(progress_table()).splitlines()
    assert text[0].split() == ["Lesson", "Question", "Tried", "Right", "Last", "answer", "When"]


def test_what_stands_in_the_file_is_escaped():
    add_record(record(title="<script>alert(1)</script>", slip="<b>", outcome="slip"))
    html = progress_table()._repr_html_()
    assert "<script>" not in html and "<b>" not in html and "&lt;script&gt;" in html


@pytest.mark.parametrize("start", ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\uff1d1"])
def test_no_cell_of_the_csv_is_a_formula(tmp_path, start):
    add_record(record(title=start, slip=start, outcome="slip"))
    written = progress_table().write_csv(tmp_path / "out.csv")
    rows = list(csv.reader(StringIO(written.read_text(encoding="utf-8"), newline="")))
    assert tuple(rows[0]) == HEADS
    assert rows[1][3] == rows[1][7] == f"'{start}"


def test_the_csv_has_every_try(tmp_path):
    add_record(record())
    add_record(record(outcome="slip", slip="saturated air", hints=2, steps_shown=True))
    rows = list(csv.DictReader(StringIO(progress_table().csv_text())))
    assert [(r["outcome"], r["slip"], r["hints"], r["steps_shown"]) for r in rows] == [
        ("right", "", "0", "no"),
        ("slip", "saturated air", "2", "yes"),
    ]
    progress_table().write_csv(tmp_path / "x.csv")
    with pytest.raises(OutputError, match="exists already"):
        progress_table().write_csv(tmp_path / "x.csv")
    with pytest.raises(OutputError, match=r"expected \.csv"):
        progress_table().write_csv(tmp_path / "x.txt")
