"""A folder with a fan table in it."""

from pathlib import Path

import pytest
from valid_visit import FAN_TABLE


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "fan.csv").write_text(FAN_TABLE, encoding="utf-8")
    return tmp_path
