"""A panel as its user meets it: fields by their labels, the sentence, the key figures, the picture, the files."""

from __future__ import annotations

import re
import time

from playwright.sync_api import Locator, Page, expect

# For what a slow machine may take; nothing waits longer than it must [ms].
PATIENCE = 30_000
# The kernel has answered everything, and the page has had a moment to send what it held back: see `lab_page.LISTEN`.
SETTLED = """() => asked.size === 0 && performance.now() - lastAsked > 150
  && !document.querySelector('.airside-working')"""

IMAGE = ".airside-panel img.airside-picture"
# Of the picture's bytes; empty while one address gives way to the next.
DIGEST = """async image => {
  try {
    const bytes = await (await fetch(image.src)).arrayBuffer();
    const digest = await crypto.subtle.digest('SHA-256', bytes);
    return Array.from(new Uint8Array(digest), byte => byte.toString(16).padStart(2, '0')).join('');
  } catch { return ''; }
}"""


class PanelPage:
    """The panel of the page's notebook.

    Attributes
    ----------
    head, figures, image, message : Locator
        The sentence, the key figures, the picture, and the sentence under the files.
    """

    def __init__(self, page: Page) -> None:
        self.page = page
        self.root = page.locator(".airside-panel")
        self.left = self.root.locator(".airside-left")
        self.right = self.root.locator(".airside-right")
        self.head = self.root.locator(".airside-head")
        self.figures = self.root.locator(".airside-figures")
        self.image = page.locator(IMAGE)
        self.message = self.root.locator(".airside-message")
        self.wrong = self.root.locator(".airside-wrong-text")

    # -- reading it -----------------------------------------------------------------------------

    def says(self, text: str) -> None:
        """Wait until the sentence holds a text; white space counts as one space."""
        expect(self.head).to_contain_text(text, timeout=PATIENCE)

    def shows(self, name: str, value: str) -> None:
        """Wait until a key figure has a value."""
        figure = self.figures.locator("span, td", has_text=re.compile(rf"^{re.escape(name)}$")).locator("xpath=..")
        expect(figure.locator("b")).to_have_text(value, timeout=PATIENCE)

    def content(self) -> str:
        """What the picture shows, as a digest: the same for the same picture, whatever its address."""
        expect(self.image).to_be_visible(timeout=PATIENCE)
        return str(self.image.evaluate(DIGEST))

    def new_picture(self, before: str) -> str:
        """Wait until another picture than before is drawn; give its digest."""
        expect(self.image).to_be_visible(timeout=PATIENCE)
        # Asked again and again here: playwright's own waiting takes the promise of an answer for the answer.
        end = time.monotonic() + PATIENCE / 1000
        while (now := self.content()) in ("", before):
            assert time.monotonic() < end, "the picture stays as it was"
            self.page.wait_for_timeout(50)
        expect(self.image).to_have_js_property("complete", True, timeout=PATIENCE)
        assert self.image.evaluate("image => image.naturalWidth") > 300
        return now

    def is_greyed(self, greyed: bool = True) -> None:
        """Wait until the last result is greyed, or is not."""
        count = 2 if greyed else 0
        expect(self.root.locator(".airside-stale")).to_have_count(count, timeout=PATIENCE)

    # -- working it -----------------------------------------------------------------------------

    def field(self, label: str, inside: Locator | None = None) -> Locator:
        """An input by its whole label."""
        # A slider bears the name of the box above it.
        return (inside or self.root).get_by_label(label, exact=True).and_(self.page.locator("input, select, textarea"))

    def type(self, label: str, text: str, inside: Locator | None = None) -> None:
        """Type a text in place of what is in a field, and press Enter."""
        field = self.field(label, inside)
        field.click()
        field.press("Control+a")
        field.press("Delete")
        field.press_sequentially(text)
        field.press("Enter")
        self.settle()

    def type_lines(self, label: str, text: str) -> None:
        """Type a text in place of what is in a box of several lines, in which Enter begins a line, and leave it."""
        field = self.field(label)
        field.click()
        field.press("Control+a")
        field.press_sequentially(text)
        field.press("Tab")
        self.settle()

    def drag(self, label: str, pixels: float) -> None:
        """Drag a slider's handle sideways, as a hand does: in steps."""
        handle = self.slider(label)
        handle.scroll_into_view_if_needed()
        box = handle.bounding_box()
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        for step in range(1, 11):
            self.page.mouse.move(x + pixels * step / 10, y)
        self.page.mouse.up()
        self.settle()

    def _heading(self, heading: str, inside: Locator | None = None) -> Locator:
        return (inside or self.root).locator("button").filter(has_text=re.compile(rf"^[▸▾] {re.escape(heading)}$"))

    def fold(self, heading: str, inside: Locator | None = None) -> Locator:
        """A heading with what is under it."""
        return self._heading(heading, inside).locator("xpath=..")

    def open_fold(self, heading: str, inside: Locator | None = None) -> Locator:
        """Unfold a heading, if it is folded; give it with what is under it."""
        button = self._heading(heading, inside)
        expect(button).to_be_visible(timeout=PATIENCE)
        if button.inner_text().startswith("▸"):
            button.click()
            expect(button).to_have_text(f"▾ {heading}", timeout=PATIENCE)
        return button.locator("xpath=..")

    def press_fold(self, heading: str) -> None:
        """Fold or unfold a heading."""
        self._heading(heading).click()
        self.settle()

    def button(self, words: str, inside: Locator | None = None) -> Locator:
        """A button by its words."""
        return (inside or self.root).locator("button").filter(has_text=re.compile(rf"^\s*{re.escape(words)}\s*$"))

    def press(self, words: str, inside: Locator | None = None) -> None:
        """Press a button by its words, and wait until the kernel has answered."""
        self.button(words, inside).click()
        self.settle()

    def settle(self) -> None:
        """Wait until the kernel has answered everything that was asked of it."""
        self.page.wait_for_function(SETTLED, timeout=PATIENCE)

    def slider(self, label: str) -> Locator:
        """The handle of the slider under a number box."""
        return (
            self.root.locator(".airside-slider")
            .filter(has=self.page.get_by_label(label, exact=True))
            .get_by_role("slider")
        )

    def row(self, words: str) -> Locator:
        """The row of a file, by its words."""
        return self.root.locator(".airside-files .airside-bar").filter(has=self.page.get_by_label(words, exact=True))

    def _name(self, row: Locator, file: str) -> None:
        # Typed as a hand types: a text that a script puts in counts only when the box says that it has changed.
        box = row.get_by_role("textbox")
        box.click()
        box.press("Control+a")
        box.press_sequentially(file)

    def load(self, file: str, words: str = "Visit file") -> None:
        """Name a file and load it."""
        row = self.row(words)
        self._name(row, file)
        self.press("Load", row)
        expect(self.message).to_have_text(f"Loaded {file}.", timeout=PATIENCE)

    def write(self, words: str, button: str, file: str) -> None:
        """Name a file and have it written."""
        row = self.row(words)
        self._name(row, file)
        self.press(button, row)
        expect(self.message).to_have_text(f"Saved {file}.", timeout=PATIENCE)
