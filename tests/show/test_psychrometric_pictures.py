"""The psychrometric chart as it looks: against pictures that were looked at, and that these would find a fault."""

import numpy as np
import pytest
import same_picture
from same_picture import assert_same_picture

from airside import MoistAir, psychrometric_chart
from airside.air.process import mix
from airside.show.psychrometric import Mixing, Process

HIGH, SEA_LEVEL = 83_000.0, 101_325.0


def state(dry_bulb, relative_humidity, pressure=HIGH):
    return MoistAir.from_relative_humidity(dry_bulb, relative_humidity, pressure)


def cooling(pressure=HIGH, name="", warm=(24.5, 0.46), cold=(13.0, 0.85), **more):
    return Process(state(*warm, pressure), state(*cold, pressure), name, **more)


def around(centre):
    """Draws on rings around a state: the same with every version of numpy."""
    turn, ring = np.linspace(0, 40 * np.pi, 400), np.linspace(0, 2.5, 400)
    return MoistAir(centre.dry_bulb + 0.3 * ring * np.cos(turn),
                    centre.humidity_ratio + 0.0002 * ring * np.sin(turn + 0.5), centre.pressure)  # fmt: skip


def before_and_after(**options):
    pair = []
    for name, warm, cold in (("before", (24.5, 0.46), (13.0, 0.85)), ("after", (24.0, 0.48), (11.0, 0.88))):
        found = cooling(name=name, warm=warm, cold=cold)
        pair.append(Process(found.start, found.end, name, start_draws=around(found.start), end_draws=around(found.end)))
    return psychrometric_chart(pair, **options)


def mixing(**options):
    outdoor, room = state(35.0, 0.3, SEA_LEVEL), state(24.0, 0.5, SEA_LEVEL)
    mixed = mix(outdoor, 1.0, room, 3.0)
    coil = Process(mixed, state(12.5, 0.9, SEA_LEVEL), "the coil", start_name="entering",
                   apparatus_dew_point=state(10.2, 1.0, SEA_LEVEL))  # fmt: skip
    return psychrometric_chart([Mixing(outdoor, room, mixed, "outdoor air comes in"), coil], **options)


def a_day(**options):
    turn = np.linspace(0, 2 * np.pi, 49)
    air = state(27 + 8 * np.sin(turn), 0.45 - 0.2 * np.sin(turn + 0.4), SEA_LEVEL)
    return psychrometric_chart(states=[("a day outdoors", air), ("room", state(24.0, 0.5, SEA_LEVEL))], **options)


PICTURES = {
    "window_si": lambda: psychrometric_chart([cooling()]),
    "window_ip_dark": lambda: psychrometric_chart([cooling()], units="IP", theme="dark"),
    "full_si": lambda: psychrometric_chart([cooling(SEA_LEVEL)], view="full"),
    "full_ip_print": lambda: psychrometric_chart(
        [cooling(SEA_LEVEL)], view="full", units="IP", theme="print", lines="enthalpy", protractor=True
    ),
    "before_and_after": lambda: before_and_after(title="A unit, before and after"),
    "before_and_after_cloud_dark": lambda: before_and_after(units="IP", theme="dark", doubt="cloud"),
    "mixing_print": lambda: mixing(theme="print", units="IP"),
    "heating": lambda: psychrometric_chart([Process(state(20.0, 0.4), state(45.0, 0.098))], scales=False),
    "path": a_day,
    "large_text": lambda: psychrometric_chart([cooling()], text_scale=1.5),
}


@pytest.mark.parametrize("name", PICTURES)
def test_it_looks_as_it_did(name):
    assert_same_picture(PICTURES[name]().figure, f"psychrometric_{name}")


# -- the comparison itself ------------------------------------------------------------------------


def without(axes, gid):
    for artist in [a for a in (*axes.collections, *axes.lines, *axes.texts) if a.get_gid() == gid]:
        artist.remove()


def moved(axes, gid):
    for lines in (c for c in axes.collections if c.get_gid() == gid):
        lines.set_segments([np.add(s, (0.5, 0.0)) for s in lines.get_segments()])


def first_away(axes, gid):
    next(t for t in axes.texts if t.get_gid() == gid).remove()


@pytest.mark.parametrize(
    ("fault", "gid"),
    [(without, g) for g in ("relative humidity", "wet bulb", "specific volume", "saturation", "grid", "process", "dew point")]
    + [(moved, g) for g in ("relative humidity", "wet bulb", "specific volume")]
    + [(first_away, g) for g in ("dew point", "enthalpy scale", "state")],
)  # fmt: skip
def test_a_fault_is_found(fault, gid, tmp_path, monkeypatch):
    monkeypatch.delenv("AIRSIDE_DRAW_EXPECTED", raising=False)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    axes = PICTURES["window_si"]()
    fault(axes, gid)
    with pytest.raises(AssertionError, match="differs from its kept picture"):
        assert_same_picture(axes.figure, "psychrometric_window_si")
    written = tmp_path / "airside-artefacts"
    assert {p.name for p in written.iterdir()} == {
        "psychrometric_window_si_actual.png",
        "psychrometric_window_si_difference.png",
    }


def test_another_size_and_a_missing_picture_are_found(tmp_path, monkeypatch):
    monkeypatch.delenv("AIRSIDE_DRAW_EXPECTED", raising=False)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    figure = PICTURES["window_si"]().figure
    with pytest.raises(AssertionError, match=r"no picture nothing\.png is kept"):
        assert_same_picture(figure, "nothing")
    figure.set_size_inches(8.0, 6.0)
    with pytest.raises(AssertionError, match="400 by 300 pixels, was 450 by 300"):
        assert_same_picture(figure, "psychrometric_window_si")


def test_a_picture_is_kept_small_and_found_the_same(tmp_path, monkeypatch):
    monkeypatch.setattr(same_picture, "EXPECTED", tmp_path / "kept")
    monkeypatch.setenv("AIRSIDE_DRAW_EXPECTED", "1")
    assert_same_picture(PICTURES["window_si"]().figure, "one")
    assert (tmp_path / "kept" / "one.png").stat().st_size < 100_000
    monkeypatch.delenv("AIRSIDE_DRAW_EXPECTED")
    assert_same_picture(PICTURES["window_si"]().figure, "one")
