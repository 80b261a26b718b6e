"""Before and after: the change, brought to the same conditions, and whether the data support it.

``airside.compare(before, after)`` is `airside.compare.change.compare`. Once a module of this room is
imported, Python puts the room itself under that name: it takes the call and passes it on.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from airside.compare.result import Change


class _Room(ModuleType):
    def __call__(self, *visits: Any, **options: Any) -> Change:
        """Compare two visits: see `airside.compare.change.compare`."""
        from airside.compare.change import compare

        return compare(*visits, **options)


sys.modules[__name__].__class__ = _Room
