"""The picture of two long periods: its points and lines are the result's, its words keep apart; and the report on them."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from report_page import plain
from same_picture import assert_same_picture
from test_report_safety import EVIL, check
from words_in_picture import check_words

from airside.compare.long_run import long_run
from airside.compare.running_change import running_change
from airside.compare.season import Bins
from airside.errors import AirsideError
from airside.show.figure_files import figure_bytes
from airside.show.long_run import brought_together, long_run_chart, running_change_band, weather_scatter
from airside.show.palette import THEMES
from airside.show.plain_axes import axes_in_inches, colours_of, new_figure
from airside.show.report.long_run_page import long_run_report
from airside.units import from_inside

sys.path.append(str(Path(__file__).parents[1] / "compare"))
from simulated_periods import pair


def with_flow(periods, seed=1):
    random = np.random.default_rng(seed)
    return [replace(p, columns=dict(p.columns) | {"volume_flow": 0.5 + 0.1 * random.random(len(p))}) for p in periods]


@pytest.fixture(scope="module")
def runs():
    flat = [replace(p, columns=dict(p.columns) | {"outdoor_dry_bulb": np.full(len(p), 31.0)}) for p in pair(5, days=3)]
    bare = [replace(p, columns={n: v for n, v in p.columns.items() if n in ("total", "return_wet_bulb")}) for p in flat]
    bare = [replace(p, columns=dict(p.columns) | {"volume_flow": np.full(len(p), 0.55)}) for p in bare]
    return {
        "gain": long_run(*pair(3, days=12, per_day=12, after={"change": 0.08, "power_change": -0.04})),
        "loss": long_run(*pair(4, days=5, after={"change": -0.25})),
        "none": long_run(*pair(6, days=3, per_day=8)),
        "flow": long_run(*with_flow(pair(2, days=10))),
        "flat": long_run(*bare),
        "apart": long_run(*pair(3, days=10, after={"outdoor": 43.0})),
        "year": long_run(*pair(7, days=60, per_day=30, after={"days": 400, "first_day": 100, "change": 0.05})),
        "zone": long_run(*[replace(p, zone="Europe/Berlin") for p in pair(9, days=4)]),
    }


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("name", ["gain", "loss", "none", "flow", "flat", "apart", "year", "zone"])
@pytest.mark.parametrize("units", ["SI", "IP"])
def test_words_keep_apart_and_can_be_read(runs, name, theme, units):
    said = check_words(long_run_chart(runs[name], theme=theme, units=units), smallest=9)
    assert {"no change", "baseline with its 95 % band"} <= set(said)
    assert any(s.startswith("before (") for s in said) and any(s.startswith("after (") for s in said)
    assert any("set apart" in s for s in said) == bool(runs[name].set_apart)


def line(axes, name):
    (found,) = [x for x in axes.lines if x.get_gid() == name]
    return found


def test_points_and_lines_are_the_results(runs):
    found = runs["flow"]
    scatter, band = long_run_chart(found, units="IP").axes
    before = line(scatter, "before")
    assert before.get_xdata() == pytest.approx(
        from_inside(found.before.columns["outdoor_dry_bulb"], "temperature", "IP")
    )
    base = found.baselines["total"]
    by_hand = found.before.columns["total"].copy()
    for i, term in enumerate(base.terms.used[1:], 2):
        by_hand -= base.coefficients[i] * (found.before.columns[term] - found.before.columns[term].mean())
    assert before.get_ydata() == pytest.approx(from_inside(by_hand, "capacity", "IP"))
    assert brought_together(found, found.before, "outdoor_dry_bulb") == pytest.approx(by_hand)
    assert len(line(scatter, "after").get_xdata()) == found.inside.sum()
    lower, upper = (line(scatter, n).get_ydata() for n in ("baseline", "changed"))
    assert upper == pytest.approx(lower * (1 + found.change.value))
    run = line(band, "running change")
    assert run.get_ydata()[-1] == pytest.approx(100 * found.change.value)


def test_the_running_change_ends_at_the_change(runs):
    for found in runs.values():
        run = running_change(found)
        assert run.value[-1] == pytest.approx(found.change.value)
        assert (run.low[-1], run.high[-1]) == pytest.approx(found.change.interval_95)
        assert (np.diff(run.count) > 0).all() and run.count[-1] == found.inside.sum()


def test_what_is_set_apart_has_a_marker_of_its_own(runs):
    scatter = long_run_chart(runs["apart"]).axes[0]
    apart, after = line(scatter, "after, set apart"), line(scatter, "after")
    assert apart.get_marker() != after.get_marker() and apart.get_markerfacecolor() == "none"
    assert len(apart.get_xdata()) == runs["apart"].set_apart


def test_into_axes_of_ones_own(runs):
    figure = new_figure(6.6, 4, colours_of("light", "SI"))
    for draw in (weather_scatter, running_change_band):
        axes = axes_in_inches(figure, 0.8, 0.8, 5, 2.4)
        assert draw(runs["none"], axes) is axes
    with pytest.raises(ValueError, match="theme is 'blue'"):
        long_run_chart(runs["none"], theme="blue")


def test_bytes_repeat(runs):
    one, two = (figure_bytes(long_run_chart(runs["none"]), "svg") for _ in range(2))
    assert one == two


@pytest.mark.parametrize("theme", THEMES)
def test_it_looks_as_it_did(runs, theme):
    assert_same_picture(long_run_chart(runs["gain"], theme=theme), f"long_run_{theme}")


def test_the_report_has_it_all(runs):
    before, after = pair(3, days=12, after={"change": 0.08, "power_change": -0.04})
    bins = Bins("A summer (invented)", np.array([29.0, 31.0]), np.array([300.0, 200.0]))
    found = long_run(before, after, bins=bins, price="0.2 EUR")
    page = long_run_report(found, time_stamp="2026-11-24 10:00", units="SI").decode()
    check(page)
    said = plain(page)
    for words in ("Report made 2026-11-24 10:00", "The season", "CV(RMSE)", "EUR", "Signature", "Lock".lower()):
        assert words in said
    assert found.verdict.split(",")[0] in said
    assert page.encode() == long_run_report(found, time_stamp="2026-11-24 10:00", units="SI")
    assert b"Report made" not in long_run_report(found, time_stamp="none")
    with pytest.raises(AirsideError, match="is not a time"):
        long_run_report(found, time_stamp="soon")


def test_text_from_files_stays_text_in_the_report():
    before, after = pair(3)
    errors = tuple(replace(e, name=EVIL[1]) for e in before.errors)
    bins = Bins(EVIL[0], np.array([31.0]), np.array([300.0]))
    before, after = (replace(p, name=which + EVIL[i], errors=errors, notes=(EVIL[2],), stages=(EVIL[i],))
                     for i, (p, which) in enumerate(((before, "before"), (after, "after"))))  # fmt: skip
    found = long_run(before, after, bins=bins, price="1 <b>")
    check(long_run_report(found, time_stamp="none").decode())
    assert "<script" not in found.html()
