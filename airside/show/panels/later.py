"""Do the full work a moment after the last change: a coarse picture while dragging, the full one after."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

# Long enough that a drag is over, short enough that nobody waits [s].
PAUSE = 0.5


class Later:
    """Calls something once, a pause after the last request; at once where no event loop runs."""

    def __init__(self, call: Callable[[], None], pause: float = PAUSE) -> None:
        self.call, self.pause = call, pause
        self._handle: asyncio.TimerHandle | None = None

    def request(self) -> None:
        """Ask for a call; a later request takes an earlier one's place."""
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self.call()
            return
        if self._handle is not None:
            self._handle.cancel()
        self._handle = loop.call_later(self.pause, self.call)
