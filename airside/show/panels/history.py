"""What undo takes back: the states that a panel had, the moves of one drag being one step."""

from __future__ import annotations

import time
from typing import Any

# Undo steps that are kept.
MOST_STEPS = 100
# Moves of one slider closer together than this are one step of undo [s].
ONE_DRAG = 1.0

State = dict[Any, Any]


class History:
    """The states before the present one."""

    def __init__(self) -> None:
        self._past: list[State] = []
        self.present: State = {}
        self._last_change: tuple[set[Any], float] = (set(), 0.0)

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to take back."""
        return not self._past

    def begin(self, state: State) -> None:
        """Forget what was before a state."""
        self._past, self.present = [], state

    def record(self, state: State, *, is_drag: bool = False) -> None:
        """Keep the present state as one to go back to, where another takes its place.

        Parameters
        ----------
        state : dict
        is_drag : bool
            Whether a slider moves; further moves of the same one are the same step.
        """
        different = {k for k in state if state[k] != self.present.get(k)}
        if not different:
            return
        moment = time.monotonic()
        last, when = self._last_change
        if not (is_drag and different == last and moment - when < ONE_DRAG):
            self._past = [*self._past[-MOST_STEPS + 1 :], self.present]
        self.present, self._last_change = state, (different if is_drag else set(), moment)

    def step_back(self) -> State:
        """The state before the present one, which it becomes."""
        self.present = self._past.pop()
        self._last_change = (set(), 0.0)
        return self.present
