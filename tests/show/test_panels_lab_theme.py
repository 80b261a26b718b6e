"""Pictures begin in the theme that JupyterLab is set to, on this machine."""

from pathlib import Path

import pytest

from airside.show.palette import THEMES
from airside.show.panels import FieldSheet, field_sheet
from airside.show.panels import panel as panel_base
from airside.show.panels.lab_theme import lab_theme

# As JupyterLab writes it, comments and all.
SETTINGS = """{
    // Theme
    // @jupyterlab/apputils-extension:themes
    // Theme manager settings.
    // *************************************

    // Theme CSS Overrides
    "overrides": {
        "code-font-size": null
    },

    // Selected Theme
    // "theme": "JupyterLab Dark"
    %s
}
"""


@pytest.fixture
def settings(tmp_path, monkeypatch):
    """Write the lab's settings for themes; give back what does."""
    monkeypatch.setenv("JUPYTERLAB_SETTINGS_DIR", str(tmp_path))
    folder = tmp_path / "@jupyterlab" / "apputils-extension"

    def write(content):
        folder.mkdir(parents=True, exist_ok=True)
        file = folder / "themes.jupyterlab-settings"
        file.write_bytes(content if isinstance(content, bytes) else content.encode())

    return write


@pytest.mark.parametrize(
    ("line", "theme"),
    [
        ('"theme": "JupyterLab Dark"', "dark"),
        ('"theme": "JupyterLab Dark High Contrast"', "dark"),
        ('"theme":"jupyterlab dark",', "dark"),
        ('"theme"  :  "JupyterLab Dark" // as the night', "dark"),
        ('"theme": "JupyterLab Light"', "light"),
        ('"theme": "JupyterLab Light" // not "theme": "JupyterLab Dark"', "light"),
        ('"adaptive-theme": true, "preferred-dark-theme": "JupyterLab Dark"', "light"),
        ('"theme": null', "light"),
        ('"theme": ', "light"),
        ("", "light"),
    ],
)
def test_the_theme_is_read_from_the_settings_as_the_lab_writes_them(settings, line, theme):
    settings(SETTINGS % line)
    assert lab_theme() == theme


@pytest.mark.parametrize("content", ["", "{", "[]", b"\xff\xfe\x00\x81", "null"])
def test_settings_that_cannot_be_read_mean_light(settings, content):
    settings(content)
    assert lab_theme() == "light"


def test_missing_settings_mean_light(settings):
    assert lab_theme() == "light"


def test_a_folder_in_the_settings_place_means_light(settings, tmp_path):
    (tmp_path / "@jupyterlab" / "apputils-extension" / "themes.jupyterlab-settings").mkdir(parents=True)
    assert lab_theme() == "light"


def test_without_the_labs_own_variable_the_users_configuration_is_read(settings, tmp_path, monkeypatch):
    monkeypatch.delenv("JUPYTERLAB_SETTINGS_DIR")
    monkeypatch.setenv("JUPYTER_CONFIG_DIR", str(tmp_path / "config"))
    assert lab_theme() == "light"
    folder = tmp_path / "config" / "lab" / "user-settings" / "@jupyterlab" / "apputils-extension"
    folder.mkdir(parents=True)
    (folder / "themes.jupyterlab-settings").write_text(SETTINGS % '"theme": "JupyterLab Dark"')
    assert lab_theme() == "dark"


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_panel_begins_in_the_labs_theme_and_can_be_turned(settings, theme, monkeypatch):
    seen = []
    monkeypatch.setattr(field_sheet, "visit_picture", lambda result, units, theme, **_: seen.append(theme))
    monkeypatch.setattr(panel_base, "figure_bytes", lambda *_, **__: b"picture")
    monkeypatch.setattr(FieldSheet, "draws", 200)
    settings(SETTINGS % f'"theme": "JupyterLab {theme.capitalize()}"')
    sheet = FieldSheet(Path(__file__).parents[2] / "data" / "bakery" / "before.toml")
    assert sheet.theme == sheet.theme_choice.value == theme and seen == [theme] and theme in THEMES
    other = "light" if theme == "dark" else "dark"
    sheet.theme_choice.value = other
    assert seen == [theme, other] and sheet.undo_button.disabled
