"""A real JupyterLab server for tests, pictures and benchmarks, with everything it writes in one folder of its own.

It listens on the loopback address alone, on a free port, with a random token.
"""

from __future__ import annotations

import json
import os
import secrets
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.error import URLError
from urllib.request import Request, urlopen

from airside.lab import prepare_folder

# A machine under load starts Python slowly [s].
STARTS_WITHIN = 120.0
STOPS_WITHIN = 30.0
SETTINGS = {
    # Nothing may pop up over a panel, and nothing is asked of the network.
    "@jupyterlab/apputils-extension/notification": {
        "fetchNews": "false", "checkForUpdates": False, "doNotDisturbMode": True,
    },
}  # fmt: skip
THEMES = {"light": "JupyterLab Light", "dark": "JupyterLab Dark"}


def free_port() -> int:
    """A port of the loopback address that nobody listens on now."""
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return int(held.getsockname()[1])


def own_environment(folder: Path, token: str) -> dict[str, str]:
    """The environment in which Jupyter reads and writes in this folder alone."""
    places = {
        "JUPYTER_CONFIG_DIR": "config", "JUPYTER_DATA_DIR": "data", "JUPYTER_RUNTIME_DIR": "runtime",
        "JUPYTERLAB_SETTINGS_DIR": "settings", "JUPYTERLAB_WORKSPACES_DIR": "workspaces", "IPYTHONDIR": "ipython",
    }  # fmt: skip
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("JUPYTER", "JPY_"))}
    for name, place in places.items():
        (folder / place).mkdir(parents=True, exist_ok=True)
        environment[name] = str(folder / place)
    return environment | {"JUPYTER_TOKEN": token, "PYTHONUNBUFFERED": "1"}


class LabServer:
    """JupyterLab over a copy of the notebooks and the demo data; start it with ``with``.

    Parameters
    ----------
    folder : Path
        An empty folder; notebooks and data are copied into ``lab`` below it.
    command : sequence of str, optional
        What is run instead of JupyterLab itself; ``{port}`` and ``{top}`` in it are replaced.
    environment : mapping of str to str, optional
        What its kernels find in their environment beside this process's own.

    Attributes
    ----------
    top : Path
        The folder that JupyterLab shows.
    """

    def __init__(
        self, folder: Path, command: list[str] | None = None, environment: Mapping[str, str] | None = None
    ) -> None:
        self.folder = folder
        self.top = folder / "lab"
        self.port = free_port()
        self.token = secrets.token_hex(16)
        self._own = folder / "jupyter"
        self._command = command
        self._more = dict(environment or {})
        self._process: subprocess.Popen[bytes] | None = None
        self.said = folder / "server.log"

    @property
    def address(self) -> str:
        """Where it answers."""
        return f"http://127.0.0.1:{self.port}"

    def page(self, notebook: str) -> str:
        """Address of a notebook, seen from the top folder, in a new workspace."""
        return f"{self.address}/lab/tree/{notebook}?token={self.token}&reset"

    def __enter__(self) -> LabServer:
        self.start()
        return self

    def __exit__(self, *_: Any) -> None:
        self.stop()

    def start(self) -> None:
        """Start it, and wait until it answers."""
        environment = own_environment(self._own, self.token) | self._more
        for name, values in SETTINGS.items():
            self.set_settings(name, values)
        if self._command is None:
            prepare_folder(self.top)
            command = [
                sys.executable, "-m", "jupyterlab", "--no-browser", f"--ServerApp.root_dir={self.top}",
                "--ServerApp.ip=127.0.0.1", f"--ServerApp.port={self.port}", "--ServerApp.port_retries=0",
                "--LabApp.extension_manager=readonly", "--LabApp.expose_app_in_browser=True",
            ]  # fmt: skip
            if hasattr(os, "geteuid") and os.geteuid() == 0:
                command.append("--allow-root")
        else:
            command = [part.format(port=self.port, top=self.top) for part in self._command]
        with self.said.open("wb") as log:
            self._process = subprocess.Popen(command, env=environment, stdout=log, stderr=log, cwd=self.folder)
        end = time.monotonic() + STARTS_WITHIN
        while not self._answers():
            if self._process.poll() is not None or time.monotonic() > end:
                self.stop()
                raise RuntimeError(f"JupyterLab did not start. It said:\n{self.said.read_text(errors='replace')}")
            time.sleep(0.1)

    def _answers(self) -> bool:
        try:
            return "version" in self.ask("/api")
        except (URLError, OSError):
            return False

    def ask(self, path: str, method: str = "GET") -> Any:
        """What the server's own interface answers."""
        request = Request(f"{self.address}{path}", method=method, headers={"Authorization": f"token {self.token}"})
        with urlopen(request, timeout=10) as answer:
            text = answer.read()
        return json.loads(text) if text else None

    def set_settings(self, name: str, values: dict[str, Any]) -> None:
        """Write a settings file of JupyterLab; pages that are opened later follow it."""
        file = self._own / "settings" / f"{name}.jupyterlab-settings"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(json.dumps(values), encoding="utf-8")

    def set_theme(self, theme: str) -> None:
        """Set JupyterLab to light or dark."""
        self.set_settings("@jupyterlab/apputils-extension/themes", {"theme": THEMES[theme]})

    def end_kernels(self) -> None:
        """End every kernel that runs."""
        for session in self.ask("/api/sessions"):
            self.ask(f"/api/sessions/{session['id']}", "DELETE")

    def stop(self) -> None:
        """End it with its kernels."""
        process, self._process = self._process, None
        if process is None:
            return
        if process.poll() is None:
            with suppress(URLError, OSError, ValueError):
                self.end_kernels()
            process.send_signal(signal.SIGTERM)
            try:
                process.wait(STOPS_WITHIN)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
