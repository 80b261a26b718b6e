"""Whether JupyterLab is set to a dark theme, read from its own settings, so that pictures begin to match."""

from __future__ import annotations

import os
import re
from pathlib import Path

from airside.show.palette import Theme


def lab_theme() -> Theme:
    """The theme that fits JupyterLab's settings on this machine; light where they say nothing."""
    from jupyter_core.paths import jupyter_config_dir

    folder = os.environ.get("JUPYTERLAB_SETTINGS_DIR") or str(Path(jupyter_config_dir()) / "lab" / "user-settings")
    settings = Path(folder) / "@jupyterlab" / "apputils-extension" / "themes.jupyterlab-settings"
    try:
        text = settings.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return "light"
    # The file is JSON with comments, which are taken out line by line.
    lines = [line for line in text.splitlines() if not line.strip().startswith("//")]
    named = re.search(r'"theme"\s*:\s*"([^"]*)"', "\n".join(lines))
    return "dark" if named is not None and "dark" in named[1].lower() else "light"
