"""The trainee's progress at the end of a lesson: the table, which follows each answer, and CSV for a teacher."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets as widgets

from airside.errors import AirsideError
from airside.show.panels.frame import bundle
from airside.show.panels.later import after_typing
from airside.show.panels.shared import plain_layout
from airside.teach.look import box, button, row, safe, words
from airside.teach.progress import FILE_NAME, listen, progress_table


class ProgressPanel:
    """What has been tried in this folder.

    Parameters
    ----------
    file : str or Path, optional
        The progress file.
    """

    def __init__(self, file: str | Path | None = None) -> None:
        self._file = file
        self.table = words("progress-table")
        self.message = words("message")
        self.name = widgets.Text(
            value="my_progress.csv", description="For a teacher", tooltip="Name of a file that ends in .csv",
            layout=plain_layout(), style={"description_width": "auto"},
        )  # fmt: skip
        self.write_button = button("Write CSV", "Every try as a table for a spreadsheet")
        self.write_button.on_click(lambda _: after_typing(self.write))
        own = f"Kept in {file or FILE_NAME} beside this notebook. The file is yours; nothing is sent anywhere."
        note = words("small", safe(own))
        self.widget = box("progress", [self.table, row(self.name, self.write_button), self.message, note])
        self.refresh()
        listen(self)

    def refresh(self) -> None:
        """Read the file again."""
        try:
            self.table.value = progress_table(self._file)._repr_html_()
        except AirsideError as error:
            self.table.value = safe(str(error))

    def write(self) -> None:
        """Write the CSV that is named; a file that exists is left as it is."""
        try:
            written = progress_table(self._file).write_csv(self.name.value.strip(), option="another name")
            self.message.value = safe(f"Saved {written}.")
        except AirsideError as error:
            self.message.value = safe(str(error))

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, "What you have tried: needs a running kernel to show.")


def my_progress(file: str | Path | None = None) -> ProgressPanel:
    """The trainee's progress, to stand as the last line of a cell."""
    return ProgressPanel(file)
