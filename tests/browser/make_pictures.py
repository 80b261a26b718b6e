"""Make the README's screenshots from a real JupyterLab: ``python -m tests.browser.make_pictures [FOLDER]``.

They go to ``notebooks/pictures`` unless a folder is named.
"""

from __future__ import annotations

import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from tests.browser.lab_page import LabPage, find_chromium, open_browser
from tests.browser.lab_server import LabServer
from tests.browser.panel_page import PanelPage

PICTURES = Path(__file__).resolve().parents[2] / "notebooks" / "pictures"
# Pixels, of the page and of the picture.
WIDTH = 1200
# The largest that a picture may be [bytes].
MOST = 400_000
NAMES = ("panel_field_sheet.png", "panel_before_after.png", "report_first_page.png")
# So that the report in the picture bears the same time whenever it is made: some days after the demo's second visit.
REPORT_MADE = {"SOURCE_DATE_EPOCH": str(int(datetime(2026, 7, 24, 9, tzinfo=UTC).timestamp()))}
WORKBENCH = "notebooks/workbench"


def main(folder: Path) -> None:
    """Make them all, and say where they are."""
    if find_chromium() is None:
        sys.exit("No chromium is installed; on Debian: apt-get install chromium")
    folder.mkdir(parents=True, exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as place,
        LabServer(Path(place), environment=REPORT_MADE) as server,
        sync_playwright() as playwright,
    ):
        browser = open_browser(playwright)
        field_sheet(browser, server, folder / NAMES[0])
        before_after(browser, server, folder / NAMES[1], folder / NAMES[2])
        browser.close()
    for file in (folder / name for name in NAMES):
        size = file.stat().st_size
        if size > MOST:
            sys.exit(f"{file} has {size} bytes; expected at most {MOST}.")
        print(f"{file}: {size / 1000:.0f} kB")


def opened(browser: Browser, server: LabServer, name: str) -> tuple[LabPage, PanelPage]:
    """A workbench notebook, run, its panel as wide as the picture."""
    lab = LabPage(browser, server, size={"width": WIDTH + 200, "height": 1500})
    lab.open(f"{WORKBENCH}/{name}.ipynb")
    lab.run_all()
    if lab.problems():
        raise RuntimeError(f"{name}: {lab.problems()}")
    panel = PanelPage(lab.page)
    box = panel.root.bounding_box()
    assert box is not None
    lab.page.set_viewport_size({"width": round(2 * WIDTH + 200 - box["width"]), "height": 1500})
    panel.settle()
    return lab, panel


def field_sheet(browser: Browser, server: LabServer, file: Path) -> None:
    """The field sheet as it opens, without the folds that say least."""
    lab, panel = opened(browser, server, "field_sheet")
    panel.press_fold("Visit")
    crop(lab, panel, file)
    lab.close()


def before_after(browser: Browser, server: LabServer, file: Path, report: Path) -> None:
    """Before and after with its sliders, and the first page of the report that it writes."""
    lab, panel = opened(browser, server, "before_after")
    panel.open_fold("What the readings are worth")
    panel.settle()
    crop(lab, panel, file)
    panel.write("Report", "Write report", "report.html")
    # On paper's width, with more pixels, so that the picture is as wide as the others.
    page = browser.new_page(viewport={"width": WIDTH * 2 // 3, "height": 1000}, device_scale_factor=1.5)
    page.goto((server.top / WORKBENCH / "report.html").as_uri())
    first = page.locator("section.customer").bounding_box()
    assert first is not None
    height = first["y"] + first["height"] + 12
    page.screenshot(path=report, clip={"x": 0, "y": 0, "width": WIDTH * 2 // 3, "height": height})
    page.close()
    lab.close()


def crop(lab: LabPage, panel: PanelPage, file: Path) -> None:
    """The panel alone, the pointer and the focus out of the way."""
    lab.page.mouse.move(1, 1)
    lab.page.evaluate("document.activeElement.blur()")
    lab.picture(file, panel.root)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else PICTURES)
