"""Peak resident memory of this process."""

from __future__ import annotations

import sys
from pathlib import Path


def peak_memory() -> float:
    """Peak resident memory so far [bytes].

    On Linux from VmHWM, which begins anew with the program: getrusage carries the peak of the process that
    started it, and would hide a child's own.
    """
    status = Path("/proc/self/status")
    if status.is_file():
        line = next(t for t in status.read_text(encoding="utf-8").splitlines() if t.startswith("VmHWM:"))
        return float(line.split()[1]) * 1024
    import resource

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return float(peak if sys.platform == "darwin" else peak * 1024)
