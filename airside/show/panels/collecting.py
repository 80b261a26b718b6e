"""No collecting of garbage while a slider is dragged: it takes longer than the picture does."""

from __future__ import annotations

import gc
from collections.abc import Callable

from airside.show.panels.later import Later

# The last picture of a drag is on its way by then [s].
AFTER_PICTURE = 0.3
# Drafts whose garbage may wait; each leaves some megabytes.
MOST_DRAFTS = 40


class Collecting:
    """Python's collecting of garbage, put off while there are drafts.

    Parameters
    ----------
    collect : callable
        What is done when the drafts are over, or too many.
    """

    def __init__(self, collect: Callable[[], object] = gc.collect) -> None:
        self._collect = collect
        self._drafts = 0
        self._is_off = False
        self._later = Later(self._go_on, AFTER_PICTURE)

    def put_off(self) -> None:
        """A draft comes."""
        if gc.isenabled():
            gc.disable()
            self._is_off = True
        self._drafts += 1
        if self._is_off and self._drafts >= MOST_DRAFTS:
            self._collect()
            self._drafts = 0

    def resume(self) -> None:
        """The drafts are over: collect a moment later."""
        self._later.request()

    def _go_on(self) -> None:
        # Another drag may have begun; where somebody else turned it off, it stays off.
        if self._is_off:
            self._is_off = False
            gc.enable()
            self._drafts = 0
            self._collect()
