"""Open the notebooks in JupyterLab, from a writable place."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from airside.errors import OutputError
from airside.teach.shipped import shipped

HOME_FOLDER = "airside-lab"


def source_tree() -> Path | None:
    """The project's own folder, where airside runs from a checkout and it can be written to."""
    top = Path(__file__).resolve().parents[1]
    if (top / "notebooks").is_dir() and (top / "pyproject.toml").is_file() and os.access(top / "notebooks", os.W_OK):
        return top
    return None


def prepare_folder(folder: str | Path) -> Path:
    """Copy notebooks and demo data into a folder; files that are there stay as they are.

    Raises
    ------
    OutputError
        The folder cannot be written.
    """
    target = Path(folder).expanduser()
    try:
        for name, origin in shipped().items():
            for file in sorted(origin.rglob("*")):
                if file.is_dir() or ".ipynb_checkpoints" in file.parts or "__pycache__" in file.parts:
                    continue
                if file.name.startswith("my_progress"):
                    # What somebody has tried in the lessons is theirs.
                    continue
                copy = target / name / file.relative_to(origin)
                if not copy.exists():
                    copy.parent.mkdir(parents=True, exist_ok=True)
                    shutil.copyfile(file, copy)
    except OSError as error:
        raise OutputError(
            f"{target}: notebooks cannot be copied there ({error.strerror}). Name another --folder."
        ) from None
    return target


def lab_folder(folder: str | None) -> Path:
    """The folder that JupyterLab opens: the one asked for, else the checkout, else one in the home folder."""
    if folder is not None:
        return prepare_folder(folder)
    return source_tree() or prepare_folder(Path.home() / HOME_FOLDER)


def open_lab(folder: str | None, *, browser: bool = True, port: int = 8888) -> int:
    """Run JupyterLab until it is stopped; give its exit status."""
    top = lab_folder(folder)
    first = "notebooks/start_here.ipynb"
    if not (top / first).is_file():
        first = "notebooks/workbench/field_sheet.ipynb"
    command = [
        sys.executable, "-m", "jupyterlab", f"--ServerApp.root_dir={top}", "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}", f"--LabApp.default_url=/lab/tree/{first}",
    ]  # fmt: skip
    if not browser:
        command.append("--no-browser")
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        # JupyterLab refuses to run as root unless told so; containers have no other user.
        command.append("--allow-root")
    print(f"JupyterLab opens {top}. Stop it with Ctrl-C.", flush=True)
    if os.name == "posix":
        # JupyterLab takes this process's place, so that whoever stops it stops JupyterLab.
        os.execv(sys.executable, command)
    try:
        return subprocess.call(command)
    except KeyboardInterrupt:
        return 0
