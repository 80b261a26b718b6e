"""The usual cautions of the trade, where pictures and panels look for them: see `airside.cautions`."""

from airside.cautions import CAUTIONS, PRECEDENCE, SHORT

__all__ = ["CAUTIONS", "PRECEDENCE", "SHORT"]
