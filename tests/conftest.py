"""Fixtures that several rooms' tests share."""

from __future__ import annotations

import sys

import pytest


@pytest.fixture
def run(monkeypatch, capsys):
    """Run the command line in this process; give exit status, output, errors."""
    import airside.cli

    def call(*arguments, columns="100"):
        monkeypatch.setattr(sys, "argv", ["airside", *map(str, arguments)])
        monkeypatch.setenv("COLUMNS", columns)
        status = 0
        try:
            airside.cli.main()
        except SystemExit as end:
            status = end.code or 0
        said = capsys.readouterr()
        assert "Traceback" not in said.out + said.err
        return status, said.out, said.err

    return call
