"""The panel for logged data: what counts is changed without reading the files again; files, clocks, undo, marks."""

import re
import tomllib
from pathlib import Path

import pytest

import airside
from airside.show.panels import LoggedData, logged_form, panel
from airside.visit.logs.logged_visit import load_logged

DATA = Path(__file__).parents[2] / "data"
BEFORE, AFTER = (DATA / "clinic" / f"{n}.toml" for n in ("before", "after"))
STRETCH, WINDOW = "log.counting.stretch", "log.counting.window"


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(panel.Panel, "draws", 500)
    monkeypatch.setattr(panel, "figure_bytes", lambda figure, form, **_: f"picture {form}".encode())


@pytest.fixture
def found():
    return LoggedData(BEFORE)


def put(found, path, text):
    found.inputs.fields[path].box.value = text


def test_it_says_what_the_library_finds(found):
    expected = load_logged(BEFORE)
    total = airside.analyse(expected.standing, count=500).capacity.total
    assert found.result.capacity.total == total
    stretch = expected.standing.stretch
    assert f"in {stretch.place}." in found.frame.head.value
    assert found.tables["Steady stretches"].value.count("<tr") == len(expected) + 1
    assert found.tables["Logged channels"].value.count("<tr") == len(expected.log.records) + 1
    assert "no value &quot;-999&quot;" in found.tables["Logged channels"].value


def test_what_counts_is_changed_without_reading_again(found, monkeypatch):
    monkeypatch.setattr(logged_form, "read_log", lambda *_, **__: pytest.fail("read again"))
    count = len(found.logged)
    put(found, STRETCH, "3")
    assert found.logged.standing_number == 3 and found.result.visit.stretch.number == 3
    put(found, "log.counting.after_start", "40")
    assert len(found.logged) < count and found.logged.counting.after_start == 2400
    put(found, "readings.tolerances", "strict")
    assert found.logged.standing.readings.tolerances == "strict"
    put(found, "log.counting.first", "2026-07-08")
    assert found.logged.log.wall_time(found.logged.stretches.begin[0]) > "2026-07-08"
    for _ in range(4):
        found.undo()
    assert len(found.logged) == count and found.undo_button.disabled
    assert found.data() == tomllib.loads(BEFORE.read_text(encoding="utf-8"))


def test_steps_from_stretch_to_stretch_end_at_the_ends(found):
    put(found, STRETCH, "2")
    for number in (1, 1):
        found.inputs.earlier.click()
        assert found.logged.standing_number == number
    put(found, STRETCH, str(len(found.logged)))
    found.inputs.later.click()
    assert found.logged.standing_number == len(found.logged) and not found.frame.is_stale


@pytest.mark.parametrize(
    ("path", "text", "says"),
    [
        (STRETCH, "600", "there is no stretch 600"),
        (STRETCH, "two", 'found "two"'),
        (WINDOW, "4", "at least 5"),
        ("log.counting.running_from", "status", "no such channel is logged"),
        ("log.counting.running_above", "9 degC", ""),
        ("log.counting.last", "1999-01-01", "the log begins at"),
    ],
)
def test_what_is_wrong_is_marked_and_the_last_good_result_stays(found, path, text, says):
    good, figures = found.logged, found.frame.figures.value
    put(found, path, text)
    assert found.frame.is_stale and found.inputs.fields[path].said and says in found.inputs.fields[path].said
    assert found.logged is good and found.frame.figures.value == figures
    found.undo()
    assert not found.frame.is_stale and not found.inputs.fields[path].said


def test_units_are_those_shown_and_the_file_keeps_its_own(found, tmp_path):
    put(found, "log.counting.running_from", "airflow")
    put(found, "log.counting.running_above", "100")
    assert found.inputs.above.caption.endswith("L/s")
    runs = len(found.logged.runs)
    found.units_choice.value = "IP"
    assert found.inputs.above.box.value == "211.9" and "Btu/h" in found.frame.head.value
    assert len(found.logged.runs) == runs and "above 212 cfm" in found.inputs.found.value
    found.save(tmp_path / "in_ip.toml")
    saved = tomllib.loads((tmp_path / "in_ip.toml").read_text(encoding="utf-8"))
    # Bare numbers of the logger files are still those of SI.
    assert saved["units"] == "SI" and saved["log"]["counting"]["running_above"].endswith("cfm")
    assert airside.load_visit(tmp_path / "in_ip.toml").readings == found.logged.standing.readings
    found.units_choice.value = "SI"
    assert found.inputs.above.box.value == "100"


def test_what_is_saved_keeps_everything_else_and_reads_back(found, tmp_path):
    put(found, STRETCH, "4")
    (tmp_path / "deep").mkdir()
    file = found.save(tmp_path / "deep" / "saved.toml")
    came, saved = (tomllib.loads(Path(f).read_text(encoding="utf-8")) for f in (BEFORE, file))
    assert saved["log"]["counting"] == {**came["log"]["counting"], "stretch": 4}
    assert (file.parent / saved["readings"]["return"]["log"]).samefile(
        BEFORE.parent / came["readings"]["return"]["log"]
    )
    for table in ("instruments", "side_by_side", "site", "system", "fan"):
        assert saved[table] == came[table]
    again = LoggedData(file)
    # From another folder the logger files have longer names, in what is said of their clocks too.
    assert re.sub(r"[^ ;]*loggers/", "loggers/", again.frame.head.value) == found.frame.head.value
    assert again.inputs.fields[STRETCH].box.value == "4"


def test_the_clocks_are_compared_on_a_press_and_moved_on_a_tick(found, tmp_path):
    assert found.clock_words.value == "" and found.apply_clocks.box.disabled and found.moved == {}
    before = found.logged
    found.clock_button.click()
    assert "behind that of loggers/before_air.csv" in found.clock_words.value
    # It is shown, and not applied.
    assert found.logged.log is before.log and found.moved == {}
    found.apply_clocks.box.value = True
    ((file, seconds),) = found.moved.items()
    # The invented logger's clock is 420 s slow (data/make_clinic.py).
    assert file == "loggers/before_unit.csv" and abs(seconds - 420) < 40
    assert found.logged.log is not before.log
    found.save(tmp_path / "moved.toml")
    saved = load_logged(tmp_path / "moved.toml")
    assert list(saved.data["log"]["files"].values()) == [{"clock_offset": seconds}]
    assert len(saved) == len(found.logged)
    again = LoggedData(tmp_path / "moved.toml")
    again.clock_button.click()
    assert "The clocks may agree" in again.clock_words.value and again.apply_clocks.box.disabled
    found.undo()
    assert found.moved == {} and len(found.logged) == len(before)
    found.load(AFTER)
    assert found.clock_words.value == "" and found.apply_clocks.box.disabled


def test_a_typed_visit_or_a_lost_logger_file_is_refused(found, tmp_path):
    said = found.frame.head.value
    with pytest.raises(airside.AirsideError, match="names no logger file"):
        found.load(DATA / "bakery" / "before.toml")
    (tmp_path / "lost.toml").write_text(BEFORE.read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(airside.AirsideError, match="there is no such file"):
        found.load(tmp_path / "lost.toml")
    assert found.frame.head.value == said and not found.frame.is_stale


def test_empty_takes_everything_away_and_undo_brings_it_back(found):
    said = found.frame.head.value
    found.files.new_button.click()
    assert "Load a visit file that names logger files" in found.frame.head.value
    assert found.logged is None and all(t.value == "" for t in found.tables.values())
    found.undo()
    assert found.frame.head.value == said and found.tables["Steady stretches"].value


def test_a_blank_panel_has_nothing_to_write(tmp_path):
    blank = LoggedData()
    with pytest.raises(airside.AirsideError, match="nothing to write"):
        blank.save(tmp_path / "nothing.toml")
    blank.clock_button.click()
    blank.inputs.later.click()
    assert blank.frame.is_stale and list(tmp_path.iterdir()) == []


def test_the_picture_is_the_one_chosen_and_is_saved_with_the_visit(found, tmp_path):
    widths = {}
    for choice in found.picture_choice.options:
        found.picture_choice.box.value = choice
        widths[choice] = tuple(found.picture().get_size_inches())
    assert len(set(widths.values())) >= 2
    found.save(tmp_path / "chart.toml")
    assert LoggedData(tmp_path / "chart.toml").picture_choice.value() == "psychrometric chart"


def test_names_from_files_are_escaped(tmp_path):
    logger = tmp_path / "loggers"
    logger.mkdir()
    for name in ("before_air.csv", "before_unit.csv"):
        text = (BEFORE.parent / "loggers" / name).read_text(encoding="utf-8")
        (logger / name).write_text(text.replace("return temperature", "<b>return</b>"), encoding="utf-8")
    text = BEFORE.read_text(encoding="utf-8").replace('"return temperature"', '"<b>return</b>"')
    (tmp_path / "odd.toml").write_text(text.replace("Clinic waiting", "<i>Clinic</i> waiting"), encoding="utf-8")
    found = LoggedData(tmp_path / "odd.toml")
    assert "&lt;b&gt;return" in found.tables["Logged channels"].value
    for part in (found.frame.head, found.frame.figures, *found.tables.values(), found.files.kept):
        assert "<i>Clinic" not in part.value and "<b>return" not in part.value
