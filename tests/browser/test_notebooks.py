"""Every notebook opens in a real JupyterLab and runs from top to bottom without an error."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest
from lab_server import LabServer

TOP = Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted(
    file.relative_to(TOP).as_posix()
    for file in (TOP / "notebooks").rglob("*.ipynb")
    if ".ipynb_checkpoints" not in file.parts
)


def test_there_are_notebooks():
    assert "notebooks/start_here.ipynb" in NOTEBOOKS and len(NOTEBOOKS) >= 8


@pytest.mark.parametrize("notebook", NOTEBOOKS)
def test_it_runs_without_an_error(lab, notebook):
    assert lab.problems() == []
    if "airside.show.panels" in (TOP / notebook).read_text(encoding="utf-8"):
        assert lab.page.locator(".airside-panel").count() == 1
    # What ran is what the file says: no cell was left out.
    assert lab.page.locator(".jp-CodeCell .jp-InputPrompt", has_text="[*]").count() == 0


def test_links_of_the_first_notebook_lead_somewhere():
    text = (TOP / "notebooks" / "start_here.ipynb").read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)]+\.ipynb)\)", text)
    assert len(links) >= 7
    for link in links:
        assert (TOP / "notebooks" / link).is_file(), link


def is_idle(lab):
    """Wait until the notebook's kernel has started."""
    end = time.monotonic() + 60
    while [s["kernel"]["execution_state"] for s in lab.ask("/api/sessions")] != ["idle"]:
        assert time.monotonic() < end, "the kernel does not start"
        time.sleep(0.2)


def test_the_command_opens_the_lab(tmp_path, browser):
    command = Path(sys.executable).with_name("airside.exe" if os.name == "nt" else "airside")
    wanted = [str(command), "lab", "--no-browser", "--folder", "{top}", "--port", "{port}"]
    with LabServer(tmp_path, wanted) as lab:
        assert lab.ask("/api/contents/notebooks/start_here.ipynb?content=0")["type"] == "notebook"
        assert lab.ask("/api/contents/data/reading_room/before.toml?content=0")["type"] == "file"
        page = browser.new_page()
        # The bare address leads to the first notebook.
        page.goto(f"{lab.address}/?token={lab.token}")
        page.get_by_role("heading", name="Start here").wait_for()
        # A page does not go while its kernel starts.
        is_idle(lab)
        page.close()
        process = lab._process
        assert process is not None
    assert process.poll() is not None
    said = lab.said.read_text(errors="replace")
    # Of a page that goes away in the middle of a message tornado complains at length, and of nothing else.
    said = re.sub(r"^[^\n]*exception=WebSocketClosedError.*?(?=^\[|\Z)", "", said, flags=re.MULTILINE | re.DOTALL)
    assert "Traceback" not in said
    # It is gone, and left nothing running.
    with pytest.raises(OSError):
        lab.ask("/api")
    assert subprocess.run([str(command), "--version"], capture_output=True, check=True).stdout
