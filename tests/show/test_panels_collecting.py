"""Garbage is collected after a drag, not in it; whoever has turned that off finds it off."""

import gc

import pytest

from airside.show.panels.collecting import MOST_DRAFTS, Collecting


@pytest.fixture(autouse=True)
def as_before():
    was = gc.isenabled()
    gc.enable()
    yield
    (gc.enable if was else gc.disable)()


def test_it_is_off_in_a_drag_and_on_after_it():
    collected = []
    found = Collecting(lambda: collected.append(gc.isenabled()))
    found.put_off()
    found.put_off()
    assert not gc.isenabled() and collected == []
    found.resume()
    assert gc.isenabled() and collected == [True]


def test_a_long_drag_collects_in_between():
    collected = []
    found = Collecting(lambda: collected.append(1))
    for _ in range(2 * MOST_DRAFTS + 1):
        found.put_off()
    assert len(collected) == 2 and not gc.isenabled()


def test_what_another_turned_off_stays_off():
    found = Collecting(lambda: None)
    gc.disable()
    found.put_off()
    found.resume()
    assert not gc.isenabled()
