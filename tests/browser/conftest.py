"""A real JupyterLab server and a real browser, one of each for all tests here.

They need Debian's chromium (`apt-get install chromium`). Without it the tests skip and say so; where
AIRSIDE_NEEDS_BROWSER=1 they fail.
"""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path

import pytest

HERE = Path(__file__).parent


def missing_browser() -> str:
    """Why there is no browser to test with; empty where there is one."""
    try:
        from lab_page import find_chromium
    except ImportError as error:
        return f"playwright cannot be imported ({error}); install the extra: pip install -e '.[test]'"
    return "" if find_chromium() else "no chromium is installed; on Debian: apt-get install chromium"


MISSING = missing_browser()
if MISSING and os.environ.get("AIRSIDE_NEEDS_BROWSER") == "1":
    raise pytest.UsageError(f"AIRSIDE_NEEDS_BROWSER=1, but {MISSING}")


def notebook_of(item):
    """The notebook that a test works in; empty where it is none."""
    parameters = item.callspec.params if hasattr(item, "callspec") else {}
    return parameters.get("notebook") or getattr(item.module, "NOTEBOOK", "")


def pytest_collection_modifyitems(items):
    # Playwright keeps an event loop running in this process, which other tests must not see: these run last.
    # Tests of one notebook stand together, so that each is opened once.
    own = [item for item in items if item.path.parent == HERE]
    items[:] = [item for item in items if item.path.parent != HERE] + sorted(own, key=notebook_of)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    if report.failed and "labs" in item.fixturenames and "labs" in item.funcargs:
        labs = item.funcargs["labs"]
        labs.keep_failure(re.sub(r"\W+", "-", item.nodeid.split("::", 1)[1]).strip("-"))
        # The next test begins in a page of its own.
        labs.close()
    return report


@pytest.fixture(scope="session")
def browser():
    """A browser without a window."""
    if MISSING:
        pytest.skip(MISSING)
    from lab_page import open_browser
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = open_browser(playwright)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def server(browser, tmp_path_factory):
    """JupyterLab over a copy of the notebooks and the demo data."""
    from lab_server import LabServer

    with LabServer(tmp_path_factory.mktemp("lab")) as server:
        yield server


@pytest.fixture(scope="session")
def artefacts():
    """Folder for screenshots, outside the repository."""
    folder = Path(os.environ.get("AIRSIDE_ARTEFACTS") or Path(tempfile.gettempdir()) / "airside-artefacts")
    folder.mkdir(parents=True, exist_ok=True)
    return folder


class Labs:
    """The page that is open: one notebook, with its kernel, at a time."""

    def __init__(self, browser, server, artefacts):
        self._browser, self._server, self._artefacts = browser, server, artefacts
        self._notebook, self._lab = "", None

    def open(self, notebook):
        """The notebook's page, all its cells run; the one that is open where it is the same."""
        from lab_page import LabPage

        if self._lab is None or self._notebook != notebook:
            self.close()
            self._notebook, self._lab = notebook, LabPage(self._browser, self._server)
            self._lab.open(notebook)
            self._lab.run_all()
        return self._lab

    def keep_failure(self, name):
        """Keep what the page looks like."""
        if self._lab is not None:
            self._lab.picture(self._artefacts / "failed" / f"{name}.png")

    def close(self):
        """Close the page."""
        lab, self._lab = self._lab, None
        if lab is not None:
            lab.close()


@pytest.fixture(scope="session")
def labs(browser, server, artefacts):
    """Opens notebooks, one at a time."""
    labs = Labs(browser, server, artefacts)
    yield labs
    labs.close()


@pytest.fixture
def lab(labs, request):
    """The page of the test's notebook; what went wrong in it unseen fails the test."""
    from lab_page import WIDE

    lab = labs.open(notebook_of(request.node))
    lab.page.set_viewport_size(WIDE)
    yield lab
    assert lab.is_closed or lab.problems() == []


@pytest.fixture
def panel(lab):
    """The panel of the test's notebook."""
    from panel_page import PanelPage

    return PanelPage(lab.page)


@pytest.fixture
def folder(server):
    """The notebook's folder: what is saved in a panel lands there."""
    return server.top / "notebooks" / "workbench"


@pytest.fixture
def changed(server):
    """Reads a demo visit of the server's copy, with some values changed by their dotted paths, in units if given."""
    import tomllib

    from airside.visit.convert import convert_data
    from airside.visit.load import load_visit, visit_from_data
    from airside.visit.logs.log_schema import has_logs

    def read(file, changes=(), units=None):
        path = server.top / "data" / file
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        if has_logs(data):
            assert not changes and units is None, "what is logged is not changed by its fields"
            return load_visit(path)
        for name, value in dict(changes).items():
            table = data
            *tables, key = name.split(".")
            for part in tables:
                table = table.setdefault(part, {})
            table[key] = value
        if units is not None:
            data = convert_data(data, units)
        return visit_from_data(data, "visit", path=path.with_name("visit.toml"))

    return read
