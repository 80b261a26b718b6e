"""Panels in a real browser: from the press of a key on a slider to the new picture, in milliseconds.

JupyterLab and chromium run as in ``tests/browser``. A script in the page notes when the key went down, and when an
image with new content was loaded. The reference is the least that such a slider can take in the same JupyterLab: a
plain slider that puts ready-made bytes of like size into an image.
"""

from __future__ import annotations

import json
import statistics
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.benchmarks import Figure

PRESSES = 60
# Presses of a key that is held, and the time between two of them [ms].
HELD, REPEAT = 30, 100
# Slider by its label, and the fold that it is in, by notebook.
SLIDERS = {
    "before_after": ("Airflow, standard uncertainty, %", "What the readings are worth"),
    "coil_performance": ("Airflow, of that measured, %", ""),
    "planning_a_visit": ("Airflow, standard uncertainty, %", ""),
}
REFERENCE = """\
import io
import ipywidgets as widgets
import matplotlib.figure
pictures = []
for dots in (2000, 2500):
    figure = matplotlib.figure.Figure(figsize=(6.6, 5.2))
    figure.subplots().plot([(i * 7919 % 1000) for i in range(dots)], ".")
    held = io.BytesIO()
    figure.savefig(held, dpi=80)
    pictures.append(held.getvalue())
slider = widgets.FloatSlider(min=0, max=100, value=50, step=1)
image = widgets.Image(value=pictures[0])
image.add_class("airside-picture")
slider.observe(lambda change: setattr(image, "value", pictures[int(change["new"]) % 2]), names="value")
box = widgets.VBox([slider, image])
box.add_class("airside-panel")
box
"""
# The time of each key press, and of the first picture loaded after it; how many pictures were loaded.
WATCH = """() => {
  window.waits = [];
  window.pictures = 0;
  let pressed = null;
  document.addEventListener('keydown', event => { if (event.key.startsWith('Arrow')) pressed = performance.now(); }, true);
  const image = document.querySelector('.airside-panel img.airside-picture');
  image.addEventListener('load', () => {
    pictures += 1;
    if (pressed !== null) { waits.push(performance.now() - pressed); pressed = null; }
  });
}"""


def measure() -> Iterator[Figure]:
    """Median and 95th percentile of each panel, beside the reference; nothing where there is no browser."""
    try:
        from playwright.sync_api import sync_playwright

        from tests.browser.lab_page import find_chromium, open_browser
        from tests.browser.lab_server import LabServer
    except ImportError as error:
        print(f"  left out: {error}")
        return
    if find_chromium() is None:
        print("  left out: no chromium is installed")
        return
    with tempfile.TemporaryDirectory() as folder, LabServer(Path(folder)) as server, sync_playwright() as playwright:
        (server.top / "reference.ipynb").write_text(json.dumps(_notebook(REFERENCE)), encoding="utf-8")
        browser = open_browser(playwright)
        least, rate = _waits(browser, server, "reference.ipynb")
        yield from _figures("plain slider and image", least, rate, None)
        for name, (label, fold) in SLIDERS.items():
            waits, rate = _waits(browser, server, f"notebooks/workbench/{name}.ipynb", label, fold)
            yield from _figures(name.replace("_", " "), waits, rate, least)
        browser.close()


def _figures(name: str, waits: list[float], rate: float, least: list[float] | None) -> Iterator[Figure]:
    middle, high = statistics.median(waits), _percentile(waits, 95)
    yield Figure(f"{name}: key to picture, median", middle, "ms")
    yield Figure(f"{name}: key to picture, 95 %", high, "ms", at_most=None if least is None else 200.0)
    yield Figure(f"{name}: pictures while a key is held", rate, "a second")
    if least is not None:
        yield Figure(f"{name}: median, against the plain slider", middle / statistics.median(least), "times")


def _percentile(values: list[float], percent: float) -> float:
    """The value that so many percent of the values reach at most; an actual one, the next above."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, -(-len(ordered) * int(percent) // 100) - 1)]


def _waits(browser: Any, server: Any, notebook: str, label: str = "", fold: str = "") -> tuple[list[float], float]:
    """Times from key to picture [ms] in one notebook, and pictures a second while a key is held."""
    from tests.browser.lab_page import LabPage
    from tests.browser.panel_page import PanelPage

    lab = LabPage(browser, server)
    try:
        lab.open(notebook)
        lab.run_all()
        if lab.problems():
            raise RuntimeError(f"{notebook}: {lab.problems()}")
        panel = PanelPage(lab.page)
        if fold:
            panel.open_fold(fold)
        handle = panel.slider(label) if label else panel.root.get_by_role("slider")
        panel.settle()
        panel.image.scroll_into_view_if_needed()
        lab.page.evaluate(WATCH)
        handle.focus()
        # A panel draws a draft at once and the full picture a moment later; the next press waits for both.
        each = 2 if label else 1
        # The first moves fill what is kept for later ones, as they do in a user's session: they do not count.
        for press in range(PRESSES + 4):
            before = lab.page.evaluate("pictures")
            handle.press("ArrowRight" if press // 8 % 2 == 0 else "ArrowLeft")
            lab.page.wait_for_function(f"pictures >= {before + each}")
            panel.settle()
        waits = [float(w) for w in lab.page.evaluate("waits")][4:]
        before = lab.page.evaluate("pictures")
        for press in range(HELD):
            handle.press("ArrowRight" if press // 8 % 2 == 0 else "ArrowLeft")
            lab.page.wait_for_timeout(REPEAT)
        rate = (lab.page.evaluate("pictures") - before) / (HELD * REPEAT / 1000)
    finally:
        lab.close()
    if len(waits) < PRESSES:
        raise RuntimeError(f"{notebook}: {PRESSES} moves gave {len(waits)} pictures")
    return waits, rate


def _notebook(code: str) -> dict[str, Any]:
    cell = {"cell_type": "code", "id": "panel", "metadata": {}, "source": code, "outputs": [], "execution_count": None}
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    return {"cells": [cell], "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}
