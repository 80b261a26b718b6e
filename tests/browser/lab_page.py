"""A page of JupyterLab with one notebook: open it, run it, and say what went wrong. A browser for it."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import Browser, Locator, Page, Playwright, expect

if TYPE_CHECKING:
    from lab_server import LabServer

# For what a slow machine may take; nothing waits longer than it must [ms].
PATIENCE = 30_000
WIDE = {"width": 1400, "height": 1100}
BROWSER_ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--font-render-hinting=none",
]  # fmt: skip
# JupyterLab's own object of the notebook in front.
NOTEBOOK = "window.jupyterapp.shell.currentWidget"
LISTEN = f"""() => {{
  const session = {NOTEBOOK}.sessionContext;
  // What the kernel said is wrong; of a panel's own work no cell shows it.
  window.saidByKernel = [];
  session.iopubMessage.connect((_, message) => {{
    const kind = message.header.msg_type, said = message.content;
    if (kind === 'error') saidByKernel.push([said.ename + ': ' + said.evalue, ...said.traceback].join('\\n'));
    if (kind === 'stream' && said.name === 'stderr') saidByKernel.push(said.text);
  }});
  // What the page has asked of the kernel, until the kernel says that it is done with it.
  window.asked = new Set();
  window.lastAsked = performance.now();
  session.session.kernel.anyMessage.connect((_, {{msg, direction}}) => {{
    if (direction !== 'send' || msg.channel !== 'shell') return;
    asked.add(msg.header.msg_id);
    lastAsked = performance.now();
  }});
  // This signal comes after the page has worked what came before, so that its widgets show it.
  session.iopubMessage.connect((_, message) => {{
    if (message.header.msg_type !== 'status' || message.content.execution_state !== 'idle') return;
    asked.delete(message.parent_header.msg_id);
    lastAsked = performance.now();
  }});
}}"""
IS_IDLE = f"""() => {{
  const notebook = window.jupyterapp && {NOTEBOOK};
  return notebook?.content?.model && notebook.sessionContext?.session?.kernel?.status === 'idle';
}}"""
# Cells after one with an error do not run.
HAS_RUN = f"""() => {{
  const cells = Array.from({NOTEBOOK}.content.model.cells).filter(cell => cell.type === 'code');
  const isWrong = cells.some(cell => cell.outputs.toJSON().some(output => output.output_type === 'error'));
  return {NOTEBOOK}.sessionContext.session.kernel.status === 'idle' && (isWrong || cells.every(cell =>
    !cell.sharedModel.source.trim() || cell.executionState === 'idle' && cell.executionCount));
}}"""
FORGET_RUNS = f"""() => {{
  for (const cell of {NOTEBOOK}.content.model.cells) if (cell.type === 'code') {{
    cell.executionCount = null;
    cell.outputs.clear();
  }}
}}"""
ERROR_OUTPUTS = f"""() => Array.from({NOTEBOOK}.content.model.cells).filter(cell => cell.type === 'code').flatMap(cell =>
  cell.outputs.toJSON().filter(o => o.output_type === 'error' || o.output_type === 'stream' && o.name === 'stderr')
    .map(o => o.output_type === 'error' ? o.ename + ': ' + o.evalue : [o.text].flat().join('')))"""


def find_chromium() -> str | None:
    """Where a chromium is, or None."""
    return next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)


def open_browser(playwright: Playwright) -> Browser:
    """The machine's own chromium, without a window."""
    return playwright.chromium.launch(executable_path=find_chromium(), args=BROWSER_ARGUMENTS)


class LabPage:
    """One page of JupyterLab.

    Parameters
    ----------
    browser : Browser
    server : LabServer
    size : dict
        Width and height of the window [px].
    theme : str
        Of JupyterLab: ``light`` or ``dark``.
    scale : float
        Pixels of the screen for one of the page.
    """

    def __init__(
        self,
        browser: Browser,
        server: LabServer,
        *,
        size: dict[str, int] = WIDE,
        theme: str = "light",
        scale: float = 1,
    ) -> None:
        self.server = server
        server.set_theme(theme)
        self._context = browser.new_context(viewport=size, device_scale_factor=scale, locale="en-US")  # type: ignore[arg-type]
        self._context.set_default_timeout(PATIENCE)
        self.page: Page = self._context.new_page()
        self._broken: list[str] = []
        self.is_closed = False
        self.page.on("pageerror", lambda error: self._broken.append(str(error)))

    def close(self) -> None:
        """Close it, and end its kernel."""
        self.is_closed = True
        self._context.close()
        self.server.end_kernels()

    def open(self, notebook: str | Path) -> None:
        """Open a notebook, seen from the server's top folder, and wait for its kernel; the side bar goes away."""
        self.server.end_kernels()
        self.page.goto(self.server.page(Path(notebook).as_posix()))
        self.page.wait_for_function(IS_IDLE, timeout=PATIENCE)
        self.page.evaluate(LISTEN)
        self.hide_side_bar()

    def hide_side_bar(self) -> None:
        """Give the notebook the whole width, as JupyterLab's own key does."""
        if self.page.locator("#jp-left-stack").is_visible():
            self.page.keyboard.press("Control+b")
            expect(self.page.locator("#jp-left-stack")).to_be_hidden(timeout=PATIENCE)

    def run_all(self) -> None:
        """Choose Run All Cells in the menu, and wait until every cell has run."""
        self.page.evaluate(FORGET_RUNS)
        self.page.get_by_role("menuitem", name="Run", exact=True).click()
        self.page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
        self.page.wait_for_function(HAS_RUN, timeout=2 * PATIENCE)

    def problems(self) -> list[str]:
        """What went wrong: errors of cells, of the panel's own work, and of the page."""
        shown = self.page.get_by_text("Error displaying widget").all_inner_texts()
        found: list[str] = self.page.evaluate(ERROR_OUTPUTS)
        said: list[str] = self.page.evaluate("window.saidByKernel")
        # Of widgets of an earlier run, which the stored notebook names, the kernel knows nothing.
        said = [text for text in said if not text.startswith("No such comm")]
        return [*dict.fromkeys([*found, *said, *shown, *self._broken])]

    def choose_theme(self, theme: str) -> None:
        """Turn JupyterLab light or dark by its menu."""
        self.page.get_by_role("menuitem", name="Settings", exact=True).click()
        for words in ("Theme", f"JupyterLab {theme.capitalize()}"):
            self.page.locator(".lm-Menu-item").filter(has_text=re.compile(f"^{words}$")).click()
        is_light = "true" if theme == "light" else "false"
        expect(self.page.locator("body")).to_have_attribute("data-jp-theme-light", is_light, timeout=PATIENCE)

    def picture(self, file: Path, part: Locator | None = None) -> None:
        """Keep a screenshot of the page, or of a part of it."""
        file.parent.mkdir(parents=True, exist_ok=True)
        size = self.page.viewport_size
        if part is None or size is None:
            self.page.screenshot(path=file)
            return
        # JupyterLab cuts at its own edge what is higher than its window.
        box = part.bounding_box()
        assert box is not None
        self.page.set_viewport_size({"width": size["width"], "height": max(size["height"], round(box["height"]) + 300)})
        part.evaluate("part => part.scrollIntoView({ block: 'center' })")
        part.screenshot(path=file)
        self.page.set_viewport_size(size)
