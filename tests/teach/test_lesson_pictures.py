"""Pictures of a lesson: each is drawn in both unit systems and both themes, by data alone."""

import struct
from pathlib import Path

import pytest

from airside.errors import AirsideError
from airside.teach import pictures
from airside.teach.picture_panel import picture
from airside.teach.picture_parameters import OfPair
from airside.teach.pictures import PICTURES, PictureError, picture_bytes, picture_figure, read_parameters

BEFORE, AFTER = "demo:reading_room/before.toml", "demo:reading_room/after.toml"
WEEK = "demo:clinic/before.toml"
STATES = [
    {"name": "return", "dry_bulb": "76 degF", "relative_humidity": "47 %"},
    {"name": "outdoor", "dry_bulb": "95 degF", "wet_bulb": "68 degF"},
    {"name": "supply", "dry_bulb": "57 degF", "humidity_ratio": "70 gr/lb"},
    {"name": "lobby", "dry_bulb": "21 degC", "dew_point": "10 degC"},
]
CHART = {
    "states": STATES, "processes": [{"start": "return", "end": "supply", "coil": True}], "elevation": "5413 ft",
    "mixtures": [{"first": "outdoor", "second": "return", "share": "20 %"}],
}  # fmt: skip
LINES = {
    "across": {"label": "Time", "kind": "time", "unit": "min", "values": [0, 1, 2, 3]},
    "up": {"label": "Supply dry bulb", "kind": "temperature", "unit": "degF"},
    "lines": [{"name": "supply", "values": [70, 62, 58, 57]}, {"name": "as shown", "values": [71, 66, 62, 59]}],
    "levels": [{"name": "steady", "value": 57}], "moments": [{"name": "from here", "value": 2}],
}  # fmt: skip


def given(name, folder):
    if name == "image file":
        (folder / "dot.png").write_bytes(picture_bytes("lines", LINES, dpi=20))
        return {"file": str(folder / "dot.png")}
    if PICTURES[name].parameters is OfPair:
        return {"before": BEFORE, "after": AFTER}
    own = {
        "psychrometric chart": CHART, "lines": LINES, "long run": {"before": WEEK, "after": "demo:clinic/after.toml"},
        "logged data": {"visit": WEEK, "first": "2026-07-07 06:00", "last": "2026-07-08", "panels": ["Dry bulb", "Power"]},
    }  # fmt: skip
    return own.get(name, {"visit": AFTER})


@pytest.mark.parametrize("name", sorted(PICTURES))
def test_each_is_drawn_in_both_systems_and_themes(name, tmp_path):
    what = given(name, tmp_path)
    drawn = {(u, t): picture_bytes(name, what, units=u, theme=t) for u in ("IP", "SI") for t in ("light", "dark")}
    for content in drawn.values():
        assert content.startswith(b"\x89PNG")
        wide, high = struct.unpack(">II", content[16:24])
        assert wide > 600 and high > 100
    # An image covers its paper.
    assert (drawn["IP", "light"] != drawn["IP", "dark"]) == (name != "image file")
    # The same picture has the same bytes, so that an export can be made again.
    assert picture_bytes(name, what, units="IP", theme="light") == drawn["IP", "light"]


def texts(figure):
    return " ".join(t.get_text() for t in figure.findobj(lambda a: hasattr(a, "get_text")))


def test_lines_say_their_unit_in_either_system():
    for units, unit in (("IP", "°F"), ("SI", "°C")):
        words = texts(picture_figure("lines", LINES, units=units))
        assert f"Supply dry bulb, {unit}" in words and "Time, min" in words
        for name in ("supply", "as shown", "steady", "from here"):
            assert name in words


def test_lines_are_turned_into_the_other_system():
    axes = picture_figure("lines", LINES, units="SI").axes[0]
    assert list(axes.lines[0].get_ydata()) == pytest.approx([(f - 32) / 1.8 for f in (70, 62, 58, 57)])


@pytest.mark.parametrize(
    ("quantity", "words"),
    [("dry bulb", "Dry bulb"), ("humidity", "Relative humidity"), ("total capacity", "Total capacity")],
)
def test_readings_over_time(quantity, words):
    figure = picture_figure("readings over time", {"visit": BEFORE, "quantity": quantity})
    assert words in texts(figure)
    assert len(figure.axes[0].lines[0].get_xdata()) == 8


def test_a_chart_names_its_states_and_the_mixture():
    words = texts(picture_figure("psychrometric chart", CHART))
    for name in ("return", "outdoor", "supply", "lobby", "mixed", "apparatus dew point"):
        assert name in words


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"lines": [{"name": "supply", "values": [70, 62]}]}, 'the line "supply" has 2 values, the axis across 4'),
        (
            {"up": {"label": "Supply", "kind": "temperature"}},
            '"Supply" needs the unit of its numbers, such as unit = "degF".',
        ),
        ({"up": {"label": "Supply", "kind": "temperature", "unit": "cfm"}}, "is not a temperature"),
        ({"up": {"label": "Supply", "kind": "magic", "unit": "cfm"}}, 'the kind "magic" is not known'),
        ({"lines": []}, "is empty"),
    ],
)
def test_lines_that_do_not_fit(change, says):
    with pytest.raises(PictureError) as caught:
        read_parameters("lines", {**LINES, **change})
    assert says in str(caught.value)


def test_a_coil_that_does_not_exist_gets_a_sentence():
    what = {
        "states": [STATES[0], {"name": "warm", "dry_bulb": "90 degF", "dew_point": "50 degF"}],
        "processes": [{"start": "return", "end": "warm", "coil": True}],
    }
    with pytest.raises(AirsideError, match="there is no apparatus dew point"):
        picture_figure("psychrometric chart", what)


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("x.svg", b"<svg/>", "expected .png, .jpg or .jpeg"),
        ("x.png", b"no picture", "is not a whole PNG or JPEG picture"),
        ("x.jpg", b"\xff\xd8\xff", "is not a whole PNG or JPEG picture"),
        ("x.png", b"\0" * 10_000_001, "is larger than 10,000,000 bytes"),
    ],
)
def test_image_files_that_do_not_do(tmp_path, name, content, says):
    (tmp_path / name).write_bytes(content)
    with pytest.raises(AirsideError, match=says):
        picture_figure("image file", {"file": str(tmp_path / name)})


def test_a_picture_that_no_visit_has():
    with pytest.raises(AirsideError, match="has no side-by-side check to draw"):
        picture_figure("side-by-side check", {"visit": "demo:bakery/before.toml"})


def test_in_a_notebook_it_has_its_description_as_text_and_follows_the_units():
    shown = picture("psychrometric chart", 'Air <b> & "return".', states=STATES[:1])
    assert shown._repr_mimebundle_()["text/plain"] == 'Picture: psychrometric chart. Air <b> & "return".'
    assert 'alt="Air &lt;b&gt; &amp; &quot;return&quot;."' in shown.picture.value
    assert "<figcaption>Air &lt;b&gt; &amp; &quot;return&quot;.</figcaption>" in shown.picture.value
    before = shown.picture.value
    shown.units_choice.value = "SI"
    assert shown.picture.value != before
    shown.follow("IP")
    assert shown.picture.value == before and shown.units_choice.value == "IP"


def test_a_picture_whose_file_has_gone_says_so(tmp_path):
    visit = tmp_path / "before.toml"
    data = Path(__file__).parents[2] / "data" / "reading_room"
    visit.write_bytes((data / "before.toml").read_bytes())
    (tmp_path / "fan_table.csv").write_bytes((data / "fan_table.csv").read_bytes())
    shown = picture("visit", "A visit.", visit=str(visit))
    assert "<img" in shown.picture.value
    visit.unlink()
    shown.units_choice.value = "SI"
    assert "there is no such file" in shown.picture.value


def test_a_plan_is_worked_out_once_for_both_systems(monkeypatch):
    from airside.compare import planning

    asked = []
    real = planning.plan
    monkeypatch.setattr(planning, "plan", lambda visit, **given: asked.append(visit) or real(visit, **given))
    pictures._planned.cache_clear()
    for units in ("IP", "SI"):
        picture_bytes("smallest change", {"visit": BEFORE}, units=units)
    assert len(asked) == 1
