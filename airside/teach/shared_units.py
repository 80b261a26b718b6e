"""The units of a lesson: who switches one exercise to SI has the untouched rest of the notebook follow."""

from __future__ import annotations

import weakref
from typing import Protocol

from airside.units import UnitSystem


class Follower(Protocol):
    """Something that shows quantities."""

    def follow(self, units: UnitSystem) -> None:
        """Turn to a unit system, unless something has been answered here."""


# Of this kernel; a widget that the notebook has let go of falls out by itself.
_FOLLOWERS: weakref.WeakSet[Follower] = weakref.WeakSet()
_CHOSEN: list[UnitSystem] = []


def join(follower: Follower, first: UnitSystem | None) -> UnitSystem:
    """Have something follow; gives the units in which it begins: those chosen last, else its own, else IP."""
    _FOLLOWERS.add(follower)
    return _CHOSEN[-1] if _CHOSEN else first or "IP"


def choose(units: UnitSystem, by: Follower) -> None:
    """The user has switched one of them."""
    _CHOSEN[:] = [units]
    for follower in list(_FOLLOWERS):
        if follower is not by:
            follower.follow(units)


def forget() -> None:
    """Begin anew: for tests."""
    _CHOSEN.clear()
    _FOLLOWERS.clear()
