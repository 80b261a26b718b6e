"""Working a page with the keyboard alone: Tab to something by its name, then keys."""

from __future__ import annotations

from playwright.sync_api import Page

# More stops than any panel has.
MOST_STOPS = 150
# What a person who tabs would say that the focus is on.
NAME = """() => {
  const element = document.activeElement;
  const words = element.getAttribute('aria-label') || element.labels?.[0]?.innerText || element.innerText || '';
  return words.trim().replace(/^[▸▾] /, '').slice(0, 60);
}"""


class Keyboard:
    """The keys of one page."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def press(self, key: str, times: int = 1) -> None:
        """Press a key."""
        for _ in range(times):
            self.page.keyboard.press(key)

    def write(self, text: str) -> None:
        """Type a text."""
        self.page.keyboard.type(text)

    def replace(self, text: str) -> None:
        """Type a text in place of what the field holds."""
        self.press("Control+a")
        self.write(text)

    def focus(self) -> str:
        """The name of what has the focus."""
        return str(self.page.evaluate(NAME))

    def tab_to(self, name: str, *, back: bool = False) -> None:
        """Press Tab until something of this name has the focus."""
        met = []
        for _ in range(MOST_STOPS):
            self.press("Shift+Tab" if back else "Tab")
            met.append(self.focus())
            if met[-1] == name:
                return
        raise AssertionError(f"Tab does not reach {name!r}; it met {met}")

    def to_first_code_cell(self) -> None:
        """Go down from the notebook's first cell to the first that holds code."""
        for _ in range(20):
            if self.page.locator(".jp-CodeCell.jp-mod-active").count():
                return
            self.press("ArrowDown")
        raise AssertionError("the arrow keys do not reach a code cell")
