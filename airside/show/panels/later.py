"""Do work a moment later: the full picture after a drag, and what a button asks for after what was typed before it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

# Long enough that a drag is over, short enough that nobody waits [s].
PAUSE = 0.5
# Long enough that what was typed before a press arrives, short enough that nobody waits [s].
AFTER_TYPING = 0.1


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


def after_typing(call: Callable[[], None]) -> None:
    """Call a moment after a press; at once where no event loop runs.

    A box says that it has changed when it loses the focus to the button. Both messages leave the browser in order, but
    ipykernel 7 works messages of widgets concurrently, and the press may come first: a file of the old name would be
    written, or a number typed as °F be taken for °C.
    """
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:
        call()
        return
    loop.call_later(AFTER_TYPING, call)
