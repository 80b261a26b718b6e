"""The workshop as a panel: begin a lesson, write it, check it, build it, hand it out; every step a button.

What is typed is saved before it is checked, built or handed out. A lesson that was changed elsewhere in the meantime is
never written over.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from airside.errors import AirsideError, OutputError
from airside.files import write_whole
from airside.show.panels.frame import bundle
from airside.show.panels.later import after_typing
from airside.show.panels.shared import plain_layout
from airside.teach.finding import Finding
from airside.teach.goes_with import goes_with
from airside.teach.lesson import LESSON_FILE
from airside.teach.look import box, button, paragraphs, row, safe, words
from airside.units import SYSTEMS

STYLE = """<style>
.airside-workshop {max-width: 1060px; border: 1px solid var(--jp-border-color2, #bbb); padding: 8px 14px 10px; margin: 4px 0 10px;
  overflow: visible}
.airside-workshop .widget-textarea {display: flex; flex-direction: column; height: auto; width: auto; margin: 6px 0}
.airside-workshop .widget-textarea label.widget-label {width: auto; height: auto; text-align: left; font-size: 13px; line-height: 1.4}
.airside-workshop textarea {font-family: var(--jp-code-font-family, monospace); font-size: 13px; line-height: 1.4; width: 100%}
.airside-workshop .airside-name {display: flex; flex-direction: column; height: auto; width: 250px; margin: 0 10px 0 0}
.airside-workshop .airside-name.airside-wide {width: 760px; max-width: 100%}
.airside-workshop .airside-name label.widget-label {width: auto; height: auto; text-align: left; font-size: 13px; line-height: 1.4}
.airside-workshop .airside-name > input, .airside-workshop .airside-name > select {width: 100%; height: 30px; flex: none}
.airside-workshop .airside-row {align-items: flex-end; margin-top: 6px}
.airside-workshop .widget-checkbox {width: auto; margin: 0 0 0 8px}
.airside-workshop hr {border: none; border-top: 1px solid var(--jp-border-color2, #bbb); margin: 10px 0 2px}
.airside-workshop .airside-findings li {margin: 0 0 4px}
.airside-workshop .airside-findings code {font-size: 12px; white-space: pre-wrap}
</style>"""
ROWS = 18
# Words of the choice, and what is written.
EXPORTS = {
    "worksheet": "Worksheet (HTML for print)", "key": "Answer key (HTML for print)", "pictures": "Pictures (SVG, PNG)",
    "questions": "Question bank (QTI 2.1)", "notebooks": "Notebooks without and with solutions",
}  # fmt: skip
ABOUT = {
    "worksheet": "Print it from the browser. Each student has numbers of their own, and the tables to look up.",
    "key": "All answers in a table, then every worked solution and the likely slips.",
    "pictures": "For slides, in the chosen units; the student numbers do not matter.",
    "questions": "A ZIP for a learning platform. Each question is drawn as often as there are student numbers.",
    "notebooks": "Exercises written out, with the numbers of the first student.",
}
HEADS = {"mistake": "To mend", "hint": "To look at", "information": "For information"}


def named(made: Any, tip: str) -> Any:
    """An input whose name stands above it, with a tooltip."""
    made.layout, made.tooltip = plain_layout(), tip
    made.style = {"description_width": "auto"}
    made.add_class("airside-name")
    return made


class Workshop:
    """The panel.

    Parameters
    ----------
    folder : str
        The lesson's folder, seen from the notebook; it need not exist yet.

    Attributes
    ----------
    text : widget
        The lesson's text.
    said : widget
        What the last button did.
    """

    def __init__(self, folder: str = "") -> None:
        self._opened: tuple[Path, str] | None = None
        self._make(folder)
        if folder and (Path(folder) / LESSON_FILE).is_file():
            self._do(self._open)

    def _make(self, folder: str) -> None:
        self.folder = named(
            widgets.Text(value=folder, description="Folder of the lesson", placeholder="10_my_lesson"),
            "Seen from this notebook's folder; letters, digits, _ and -",
        )
        self.text = widgets.Textarea(
            description=f"{LESSON_FILE} (saved by each button below it)",
            rows=ROWS,
            disabled=True,
            layout=plain_layout(),
        )
        self.said, self.handed = words("findings"), words("findings")
        self.begin_button = self._button("Begin", "Make the folder, with a small lesson that is complete", self._begin)
        self.open_button = self._button("Open", "Take the lesson as it stands on the disk", self._open)
        self.save_button = self._button("Save", "Write the text into the lesson's file", self._saved)
        self.check_button = self._button("Check", "Save, run the lesson, and say what is to be mended", self._check)
        self.build_button = self._button("Build the notebook", "Save, and make the lesson's notebook", self._build)
        self.what = named(
            widgets.Dropdown(
                options=[(says, name) for name, says in EXPORTS.items()], value="worksheet", description="To hand out"
            ),
            "What is written for the class",
        )
        self.about = words("small", safe(ABOUT["worksheet"]))
        self.what.observe(lambda _: setattr(self.about, "value", safe(ABOUT[self.what.value])), names="value")
        self.students = named(
            widgets.Text(value="1-3", description="Student numbers, such as 1-24"), "Each gets numbers of their own"
        )
        self.units = named(
            widgets.Dropdown(options=["as the lesson", "IP", "SI"], value="as the lesson", description="Units"),
            "Of the questions and pictures",
        )
        self.replace = widgets.Checkbox(
            value=False,
            description="Replace what exists",
            tooltip="Write over files that are there",
            indent=False,
            layout=plain_layout(),
        )
        self.export_button = self._button(
            "Write it", "Save, and write what is to be handed out", self._export, self.handed_out
        )
        self.seed = named(
            widgets.BoundedIntText(value=1, min=0, max=2**31, description="Seed of the scenario"),
            "Another seed, other weather and errors",
        )
        self.scenario_button = self._button(
            "Begin a scenario", "Put scenario.toml into the folder: an invented system with a known truth", self._scenario,
            self.handed_out,
        )  # fmt: skip
        self.visits_button = self._button(
            "Write its visits", "Draw weather and errors of the instruments, and write the trainee's files", self._visits,
            self.handed_out,
        )  # fmt: skip
        self.widget = box("workshop", [
            words(value=STYLE),
            row(self.folder, self.begin_button, self.open_button),
            self.text,
            row(self.save_button, self.check_button, self.build_button),
            self.said,
            words(value="<hr>"),
            row(self.what, self.students, self.units, self.export_button, self.replace),
            self.about,
            row(self.seed, self.scenario_button, self.visits_button),
            self.handed,
        ])  # fmt: skip

    def _button(self, says: str, tip: str, does: Callable[[], str], tell: Callable[[str], None] | None = None) -> Any:
        made = button(says, tip)
        made.on_click(lambda _: after_typing(partial(self._do, does, tell)))
        return made

    # -- saying --------------------------------------------------------------------------------------

    def tell(self, html: str) -> None:
        """Say what was done, above the fold."""
        # Read out by a screen reader as it appears.
        self.said.value = f'<div role="alert">{html}</div>'

    def handed_out(self, html: str) -> None:
        """Say what was handed out, below it."""
        self.handed.value = f'<div role="alert">{html}</div>'

    def _do(self, does: Callable[[], str], tell: Callable[[str], None] | None = None) -> None:
        """Do the work of a button; what goes wrong is said as it is."""
        say = tell or self.tell
        say(paragraphs(["One moment …"]))
        try:
            say(does())
        except AirsideError as error:
            say(paragraphs(["▲ This was not done.", *str(error).split("\n")]))

    # -- the buttons -----------------------------------------------------------------------------------

    @property
    def _place(self) -> Path:
        name = self.folder.value.strip()
        if not name:
            raise OutputError("Name the lesson's folder first, such as 10_my_lesson.")
        return Path(name)

    def _begin(self) -> str:
        from airside.teach.first_lesson import new_lesson

        file = new_lesson(self._place)
        self._open()
        return paragraphs([f"{file} is made. It is complete: change it, and check it."])

    def _open(self) -> str:
        file = self._place / LESSON_FILE
        text = _text_of(file)
        self._opened = (file, text)
        self.text.value, self.text.disabled = text, False
        return paragraphs([f"{file} is open."])

    def _save(self) -> Path:
        """Write the text where it was changed; never over a change from elsewhere."""
        file = self._place / LESSON_FILE
        if self._opened is None or self._opened[0] != file:
            raise OutputError(f"{file} is not open here. Press Open, or Begin.")
        if _text_of(file) != self._opened[1]:
            raise OutputError(
                f"{file} was changed elsewhere since it was opened here, and is left as it is. Press Open to take it; copy what "
                "you have typed here first."
            )
        if self.text.value != self._opened[1]:
            write_whole(file, self.text.value, force=True)
            self._opened = (file, self.text.value)
        return file.parent

    def _saved(self) -> str:
        return paragraphs([f"{self._save() / LESSON_FILE} is saved."])

    def _check(self) -> str:
        from airside.teach.check import check_lesson, report

        findings = check_lesson(self._save())
        return f"{paragraphs([report(findings).splitlines()[-1]])}{self._findings(findings)}"

    def _findings(self, findings: Sequence[Finding]) -> str:
        """Findings as lists, each with the line that it is about."""
        lines, parts = self.text.value.split("\n"), []
        for weight, head in HEADS.items():
            items = []
            for found in findings:
                if found.weight != weight:
                    continue
                here = found.line and Path(found.file).name == LESSON_FILE
                line = lines[found.line - 1].strip()[:120] if here and found.line <= len(lines) else ""
                quoted = f"<br><code>{escape(line)}</code>" if line else ""
                where = f"Line {found.line}: " if found.line else ""
                items.append(f"<li>{safe(where + found.message)}{quoted}</li>")
            if items:
                parts.append(f"<div><b>{head}</b></div><ul>{''.join(items)}</ul>")
        return "".join(parts)

    def _build(self) -> str:
        from airside.teach.build import build

        made = build(folder := self._save())
        said = goes_with(folder, made)
        return paragraphs([f"{made} is made: open it in the list of files on the left.", *filter(None, [said])])

    def _export(self) -> str:
        folder, force = self._save(), self.replace.value
        units = self.units.value if self.units.value in SYSTEMS else None
        places = _export(self.what.value, folder, self.students.value, units, force=force)
        said = goes_with(folder, places[0]) if self.what.value == "notebooks" else ""
        return _written(places) + (paragraphs([said]) if said else "")

    def _scenario(self) -> str:
        from airside.teach.scenario_first import new_scenario

        return paragraphs(
            [f"{new_scenario(self._place)} is made. Change it in JupyterLab's editor, then write its visits."]
        )

    def _visits(self) -> str:
        from airside.teach.scenario_files import write_scenario

        *trainee, truth = write_scenario(self._place, self.seed.value, force=self.replace.value)
        return f"{_written(trainee)}{paragraphs([f'The truth, for the answer key: {truth}', 'Keep it away from the trainees.'])}"

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, "The author's workshop. Needs a running kernel.")


def _text_of(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise OutputError(f"{file}: there is no such file. Press Begin to make it.") from None
    except (OSError, UnicodeDecodeError):
        raise OutputError(f"{file}: cannot be read as UTF-8 text.") from None


def _export(what: str, folder: Path, students: str, units: Any, *, force: bool) -> Sequence[Path]:
    """Write one kind of hand-out."""
    from airside.teach.exports.asked import student_numbers

    if what in ("worksheet", "key"):
        from airside.teach.exports.worksheet import write_worksheet

        return [write_worksheet(folder, student_numbers(students), units=units, key=what == "key", force=force)]
    if what == "pictures":
        from airside.teach.exports.slides import write_pictures

        return write_pictures(folder, units=units, force=force)
    if what == "questions":
        from airside.teach.exports.question_bank import write_question_bank

        return [write_question_bank(folder, variants=len(student_numbers(students)), units=units, force=force)]
    from airside.teach.exports.notebooks import write_notebooks

    return write_notebooks(folder, student=student_numbers(students)[0], units=units, force=force)


def _written(places: Sequence[Path]) -> str:
    return paragraphs([f"Written: {place}" for place in places])


def workshop(folder: str = "") -> Workshop:
    """The author's workshop, to stand as the last line of a cell.

    Parameters
    ----------
    folder : str
        The lesson's folder; it is opened where it exists.
    """
    return Workshop(folder)
