"""What is measured, on the psychrometric chart: mixing, the coil's line, draws, arrays of states, the protractor."""

import numpy as np
import pytest
from matplotlib.path import Path

from airside import MoistAir, psychrometric_chart
from airside.air import properties
from airside.air.coil import coil_performance
from airside.air.process import delivered_capacity, mix
from airside.show.chart_doubt import ellipse
from airside.show.protractor import RATIOS, ratio_of, slope
from airside.show.psychrometric import Mixing, Process

PRESSURE = 83_000.0
WARM = MoistAir.from_relative_humidity(24.5, 0.46, PRESSURE)
COLD = MoistAir.from_relative_humidity(13.0, 0.85, PRESSURE)
TO_CELSIUS = {"SI": lambda x: x, "IP": lambda x: (x - 32) / 1.8}
TO_RATIO = {"SI": lambda y: y / 1000, "IP": lambda y: y / 7000}
both_units = pytest.mark.parametrize("units", ["SI", "IP"])


def drawn(axes, gid):
    """Lines of a kind, each as its points."""
    return [np.column_stack(line.get_data()) for line in axes.lines if line.get_gid() == gid]


def state_texts(axes):
    return [t.get_text() for t in axes.texts if t.get_gid() == "state"]


def draws(state, count=20_000, dry_bulb=0.4, ratio=0.0004, correlation=-0.6, seed=4):
    """Draws around a state, normal in dry bulb and humidity ratio."""
    covariance = [[dry_bulb**2, correlation * dry_bulb * ratio], [correlation * dry_bulb * ratio, ratio**2]]
    t, w = np.random.default_rng(seed).multivariate_normal([state.dry_bulb, state.humidity_ratio], covariance, count).T
    return MoistAir(t, w, PRESSURE)


# -- mixing and the coil's line -------------------------------------------------------------------


@both_units
def test_the_mixed_state_lies_between_the_streams(units):
    outdoor = MoistAir.from_relative_humidity(35.0, 0.3, PRESSURE)
    mixed = mix(outdoor, 1.0, WARM, 3.0)
    axes = psychrometric_chart([Mixing(outdoor, WARM, mixed, "outdoor air comes in")], units=units)
    first, second = drawn(axes, "process")
    # Both arrows end in the mixed state, nearer to the larger stream.
    np.testing.assert_allclose(first[1], second[1])
    t, w = TO_CELSIUS[units](first[1, 0]), TO_RATIO[units](first[1, 1])
    assert (t, w) == pytest.approx((mixed.dry_bulb, mixed.humidity_ratio), rel=1e-9)
    lengths = [np.hypot(*(axes.transData.transform(a[1]) - axes.transData.transform(a[0]))) for a in (first, second)]
    assert lengths[0] == pytest.approx(3 * lengths[1], rel=0.01)
    assert len([p for p in axes.patches if p.get_gid() == "arrow head"]) == 2
    assert [s.split("\n")[0] for s in state_texts(axes)] == ["outdoor", "return", "mixed"]
    assert axes.get_legend().get_texts()[0].get_text() == "outdoor air comes in"


@both_units
def test_the_coil_line_goes_on_to_the_apparatus_dew_point(units):
    at = coil_performance(WARM, COLD).apparatus_dew_point
    apparatus = MoistAir.from_relative_humidity(at, 1.0, PRESSURE)
    axes = psychrometric_chart([Process(WARM, COLD, apparatus_dew_point=apparatus)], units=units)
    (line,) = drawn(axes, "coil line")
    t, w = TO_CELSIUS[units](line[:, 0]), TO_RATIO[units](line[:, 1])
    np.testing.assert_allclose(t, [13.0, at], rtol=1e-9)
    assert properties.relative_humidity(t[1], w[1], PRESSURE) == pytest.approx(1.0, rel=1e-9)
    # One straight line from return through supply to saturation.
    (arrow,) = drawn(axes, "process")
    steep = [np.diff(p[:, 1]) / np.diff(p[:, 0]) for p in (arrow, line)]
    assert steep[0] == pytest.approx(steep[1], rel=1e-6)
    (said,) = (s for s in state_texts(axes) if s.startswith("apparatus dew point"))
    assert said.endswith("saturated")


def test_states_at_one_place_share_a_text():
    outdoor = MoistAir.from_relative_humidity(35.0, 0.3, PRESSURE)
    mixed = mix(outdoor, 1.0, WARM, 3.0)
    axes = psychrometric_chart([Mixing(outdoor, WARM, mixed), Process(mixed, COLD, start_name="entering")])
    assert [s.split("\n")[0] for s in state_texts(axes)] == ["outdoor", "return", "mixed, entering", "supply"]


# -- how well states are known --------------------------------------------------------------------


@both_units
@pytest.mark.parametrize("correlation", [-0.95, 0.0, 0.7])
def test_the_ellipse_holds_95_percent_of_the_draws(units, correlation):
    many = draws(WARM, correlation=correlation)
    axes = psychrometric_chart([Process(WARM, COLD, start_draws=many)], units=units)
    (edge,) = drawn(axes, "ellipse")
    x = many.dry_bulb * 1.8 + 32 if units == "IP" else many.dry_bulb
    y = many.humidity_ratio * (7000 if units == "IP" else 1000)
    inside = Path(edge).contains_points(np.column_stack([x, y])).mean()
    # 20,000 draws: two standard deviations are 0.3 %; the drawn polygon cuts its corners by less than 0.1 %.
    assert inside == pytest.approx(0.95, abs=0.005)
    assert "95 % region of a state" in [t.get_text() for t in axes.get_legend().get_texts()]


def test_the_ellipse_is_that_of_the_draws_covariance():
    many = draws(WARM)
    centre, axes = ellipse(many)
    np.testing.assert_allclose(centre, [many.dry_bulb.mean(), many.humidity_ratio.mean()], rtol=1e-12)
    # The 95 % point of chi-square with 2 degrees of freedom: 5.991, any table.
    np.testing.assert_allclose(axes @ axes.T, 5.991 * np.cov(many.dry_bulb, many.humidity_ratio), rtol=2e-4)


def test_draws_that_are_not_numbers_are_left_out():
    many = draws(WARM, 500)
    holes = MoistAir(np.where(np.arange(500) % 5 == 0, np.nan, many.dry_bulb), many.humidity_ratio, PRESSURE)
    kept = MoistAir(many.dry_bulb[np.arange(500) % 5 != 0], many.humidity_ratio[np.arange(500) % 5 != 0], PRESSURE)
    np.testing.assert_allclose(ellipse(holes)[1], ellipse(kept)[1])
    assert ellipse(MoistAir(np.full(9, np.nan), np.full(9, 0.01), PRESSURE)) is None
    assert ellipse(MoistAir(np.full(9, 20.0), np.full(9, 0.01), PRESSURE)) is None
    axes = psychrometric_chart([Process(WARM, COLD, end_draws=MoistAir(np.full(9, 20.0), np.full(9, 0.01), PRESSURE))])
    assert drawn(axes, "ellipse") == []
    assert axes.get_legend() is None


def test_the_ellipse_ends_at_saturation():
    wet = MoistAir.from_relative_humidity(13.0, 0.97, PRESSURE)
    axes = psychrometric_chart([Process(WARM, wet, end_draws=draws(wet))])
    (edge,) = drawn(axes, "ellipse")
    assert any(w / 1000 > properties.saturation_humidity_ratio(t, PRESSURE) for t, w in edge)
    (line,) = (a for a in axes.lines if a.get_gid() == "ellipse")
    region, transform = line.get_clip_path().get_transformed_path_and_affine()
    corners = axes.transData.inverted().transform(transform.transform(region.vertices))
    on_curve = corners[1:-3]
    np.testing.assert_allclose(
        on_curve[:, 1], 1000 * np.asarray(properties.saturation_humidity_ratio(on_curve[:, 0], PRESSURE)), rtol=1e-6
    )


@both_units
def test_a_cloud_is_of_the_draws(units):
    many = draws(COLD)
    axes = psychrometric_chart([Process(WARM, COLD, end_draws=many)], units=units, doubt="cloud")
    (points,) = drawn(axes, "cloud")
    assert 200 <= len(points) <= 400
    t = TO_CELSIUS[units](points[:, 0])
    assert np.isin(np.round(t, 9), np.round(many.dry_bulb, 9)).all()
    assert drawn(axes, "ellipse") == []


def test_doubt_can_be_left_out():
    axes = psychrometric_chart([Process(WARM, COLD, start_draws=draws(WARM))], doubt="none")
    assert drawn(axes, "ellipse") == drawn(axes, "cloud") == []


def test_the_window_shows_a_large_ellipse_whole():
    many = draws(WARM, dry_bulb=5.0, ratio=0.003)
    axes = psychrometric_chart([Process(WARM, COLD, start_draws=many)])
    (edge,) = drawn(axes, "ellipse")
    (x0, x1), (y0, y1) = axes.get_xlim(), axes.get_ylim()
    assert x0 <= edge[:, 0].min() and edge[:, 0].max() <= x1
    assert edge[:, 1].max() <= y1 and (edge[:, 1].min() >= y0 or y0 == 0)


# -- arrays of states -----------------------------------------------------------------------------

DAY = MoistAir.from_relative_humidity(
    27 + 8 * np.sin(np.linspace(0, 5, 40)), 0.45 - 0.2 * np.sin(np.linspace(0, 5, 40)), PRESSURE
)


@both_units
def test_an_array_of_states_is_a_path(units):
    axes = psychrometric_chart(states=[("a day", DAY)], units=units)
    (path,) = drawn(axes, "path")
    np.testing.assert_allclose(TO_CELSIUS[units](path[:, 0]), DAY.dry_bulb)
    np.testing.assert_allclose(TO_RATIO[units](path[:, 1]), DAY.humidity_ratio)
    assert [s.split("\n")[0] for s in state_texts(axes)] == ["a day, first", "a day, last"]


def test_a_path_that_comes_home_has_one_text():
    around = MoistAir(
        np.append(DAY.dry_bulb, DAY.dry_bulb[0]), np.append(DAY.humidity_ratio, DAY.humidity_ratio[0]), PRESSURE
    )
    axes = psychrometric_chart(states=[("a day", around)])
    assert [s.split("\n")[0] for s in state_texts(axes)] == ["a day, first and last"]


def test_an_array_of_states_is_a_cloud_if_wanted():
    holes = MoistAir(np.where(np.arange(40) == 3, np.nan, DAY.dry_bulb), DAY.humidity_ratio, PRESSURE)
    axes = psychrometric_chart(states=[("a day", holes), ("room", WARM)], arrays="cloud")
    (points,) = drawn(axes, "cloud")
    assert len(points) == 39
    assert [s.split("\n")[0] for s in state_texts(axes)] == ["a day", "room"]
    assert "39 states" in state_texts(axes)[0]


def test_a_two_dimensional_array_and_one_without_numbers_can_be_drawn():
    square = MoistAir(DAY.dry_bulb.reshape(5, 8), DAY.humidity_ratio.reshape(5, 8), PRESSURE)
    assert len(drawn(psychrometric_chart(states=[("a day", square)]), "path")[0]) == 40
    nothing = MoistAir(np.full(3, np.nan), np.full(3, np.nan), PRESSURE)
    assert drawn(psychrometric_chart(states=[("nothing", nothing), ("room", WARM)]), "path") == []


def test_a_process_between_arrays_says_what_to_do():
    with pytest.raises(ValueError, match=r"return is an array; a process runs between single states.*start_draws"):
        psychrometric_chart([Process(DAY, COLD)])


def test_a_state_that_is_not_a_number_says_so():
    with pytest.raises(ValueError, match="supply is not a number; leave out what is not known"):
        psychrometric_chart([Process(WARM, MoistAir(float("nan"), 0.01, PRESSURE))])


# -- protractor -----------------------------------------------------------------------------------


def fan(axes):
    """Directions of the fan's main rays, in the shown units."""
    (lines,) = (c for c in axes.collections if c.get_gid() == "protractor")
    rays = np.array(lines.get_segments()[: len(RATIOS)])
    return rays[:, 1] - rays[:, 0]


@both_units
@pytest.mark.parametrize("view", ["states", "full"])
@pytest.mark.parametrize("pressure", [61_000.0, 101_325.0])
def test_a_process_along_a_ray_has_the_ratio_written_there(units, view, pressure):
    warm, cold = (MoistAir.from_relative_humidity(*s, pressure) for s in ((24.5, 0.46), (13.0, 0.85)))
    axes = psychrometric_chart([Process(warm, cold)], units=units, view=view, protractor=True)
    for ratio, (dx, dy) in zip(RATIOS, fan(axes), strict=True):
        cooled, dried = (-dx / 1.8, -dy / 7000) if units == "IP" else (-dx, -dy / 1000)
        assert cooled > 0
        assert dried >= -1e-12
        # A process from the return air in this direction, until as dry as the supply air.
        far = (warm.humidity_ratio - cold.humidity_ratio) / dried if dried > 1e-12 else 1.0
        leaving = MoistAir(warm.dry_bulb - far * cooled, warm.humidity_ratio - far * dried, pressure)
        found = delivered_capacity(warm, leaving, 1.0)
        assert found.sensible_heat_ratio == pytest.approx(ratio, abs=1e-6)


@both_units
def test_a_process_has_its_own_ray_parallel_to_it(units):
    axes = psychrometric_chart([Process(WARM, COLD)], units=units, protractor=True)
    (ray,) = drawn(axes, "protractor ray")
    (arrow,) = drawn(axes, "process")
    one, two = (axes.transData.transform(p[1]) - axes.transData.transform(p[0]) for p in (ray, arrow))
    assert one @ two / np.hypot(*one) / np.hypot(*two) == pytest.approx(1.0, abs=1e-9)


def test_ratio_and_slope_agree_with_the_capacity():
    found = delivered_capacity(WARM, COLD, 1.0)
    assert ratio_of(WARM, COLD) == pytest.approx(found.sensible_heat_ratio, rel=1e-12)
    steep = (WARM.humidity_ratio - COLD.humidity_ratio) / (WARM.dry_bulb - COLD.dry_bulb)
    assert slope(found.sensible_heat_ratio, WARM.dry_bulb, COLD.humidity_ratio) == pytest.approx(steep, rel=1e-9)
    assert slope(1.0, 24.0, 0.01) == 0
    assert np.isnan(ratio_of(COLD, WARM))


def test_numbers_of_the_protractor_stand_at_their_rays():
    axes = psychrometric_chart([Process(WARM, COLD)], view="full", protractor=True)
    numbers = [t for t in axes.texts if t.get_gid() == "sensible heat ratio"]
    assert len(numbers) >= 4
    (lines,) = (c for c in axes.collections if c.get_gid() == "protractor")
    ends = axes.transData.transform([s[1] for s in lines.get_segments()[: len(RATIOS)]])
    for text in numbers:
        away = np.hypot(*(ends - axes.transData.transform(text.get_position())).T)
        assert RATIOS[int(np.argmin(away))] == float(text.get_text())


def test_without_room_there_is_no_protractor_and_the_chart_is_whole():
    from airside.show.palette import THEMES
    from airside.show.psychrometric import new_axes

    axes = new_axes(THEMES["light"], (3.0, 2.0))
    psychrometric_chart([Process(WARM, COLD)], axes=axes, protractor=True)
    assert not [c for c in axes.collections if c.get_gid() == "protractor"]
    assert drawn(axes, "process")
