"""Named errors and their draws: shapes, identity, reproducibility."""

import hashlib
import math

import numpy as np
import pytest

from airside.instruments.named_error import DEFAULT_SEED, Draws, NamedError, unique

COUNT = 200_000
SHAPES = ("normal", "rectangular", "triangular", "student", "sample")


def error(shape="normal", key="a", u=1.0, **more):
    return NamedError(f"error {key}", key, "method", u, shape, **more)


def make(shape, key="a"):
    if shape == "student":
        return error(shape, key, 2.0, degrees_of_freedom=7)
    if shape == "sample":
        return error(shape, key, 0.0, values=(-1.0, 0.0, 0.5, 3.0))
    return error(shape, key, 2.0)


@pytest.mark.parametrize("shape", SHAPES)
def test_draws_have_the_standard_deviation_that_the_error_states(shape):
    given = make(shape)
    drawn = Draws(COUNT).of(given)
    assert drawn.shape == (COUNT,)
    assert drawn.std() == pytest.approx(given.standard_deviation, rel=0.01)
    expected = np.mean(given.values) if shape == "sample" else 0.0
    assert drawn.mean() == pytest.approx(expected, abs=5 * given.standard_deviation / math.sqrt(COUNT))


def test_limited_shapes_stay_inside_their_limits():
    rectangular, triangular = (Draws(COUNT).of(error(s)) for s in ("rectangular", "triangular"))
    assert np.abs(rectangular).max() <= math.sqrt(3)
    assert np.abs(triangular).max() <= math.sqrt(6)
    # A rectangle is flat, a triangle has three quarters of itself in its inner half.
    assert np.mean(np.abs(rectangular) < math.sqrt(3) / 2) == pytest.approx(0.5, abs=0.01)
    assert np.mean(np.abs(triangular) < math.sqrt(6) / 2) == pytest.approx(0.75, abs=0.01)


def test_a_sample_is_drawn_from_as_it_is():
    drawn = Draws(COUNT).of(make("sample"))
    values, counts = np.unique(drawn, return_counts=True)
    assert values.tolist() == [-1.0, 0.0, 0.5, 3.0]
    assert counts / COUNT == pytest.approx(0.25, abs=0.01)


def test_a_student_error_of_two_degrees_of_freedom_has_no_standard_deviation():
    assert math.isinf(error("student", degrees_of_freedom=2).standard_deviation)


# SHA-256 over the first five draws of each shape, to 12 digits: another machine must give the same.
PINNED = "db427ed114578e600a83b57b06dc2cd463192bdd336a28ddab568cb650e8fd05"


def test_the_same_seed_gives_the_same_numbers_on_every_machine():
    text = "\n".join(f"{shape} {v:.12g}" for shape in SHAPES for v in Draws(1000).of(make(shape))[:5])
    assert hashlib.sha256(text.encode()).hexdigest() == PINNED, text


def test_more_draws_begin_with_the_same_draws():
    for shape in ("normal", "rectangular"):
        assert np.array_equal(Draws(500).of(make(shape)), Draws(1000).of(make(shape))[:500])


def test_seeds_and_keys_differ():
    one = Draws(1000).of(error())
    assert np.array_equal(one, Draws(1000, DEFAULT_SEED).of(error()))
    assert not np.array_equal(one, Draws(1000, 1).of(error()))
    other = Draws(1000).of(error(key="b"))
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.15


def test_errors_of_one_key_share_their_draws_whatever_they_are_called():
    draws = Draws(1000)
    first, second = draws.of(error()), draws.of(NamedError("another name", "a", "drift", 2.5))
    assert second == pytest.approx(2.5 * first, rel=1e-12)
    assert draws.of(error()) is first


def test_asking_for_another_error_leaves_the_draws_of_the_rest_alone():
    alone = Draws(1000).of(error(key="c")).copy()
    draws = Draws(1000)
    for key in "xyz":
        draws.of(error(key=key))
    assert np.array_equal(draws.of(error(key="c")), alone)


def test_of_one_key_the_largest_counts_in_the_place_of_the_first():
    found = unique([error(key="a", u=1.0), error(key="b"), error(key="a", u=3.0), error(key="a", u=2.0)])
    assert [(e.key, e.standard_uncertainty) for e in found] == [("a", 3.0), ("b", 1.0)]


@pytest.mark.parametrize("count", [1, 0, -5])
def test_too_few_draws_are_refused(count):
    with pytest.raises(ValueError, match="at least 2"):
        Draws(count)
