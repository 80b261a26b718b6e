"""A module imports only from rooms to its left: the order of the rooms in DEVELOPERS.md."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "airside"
ORDER = {
    "units": 0, "errors": 0, "cautions": 0, "results": 0, "files": 0, "air": 1, "airflow": 2, "refrigerant": 2,
    "instruments": 3, "visit": 4, "compare": 5, "fleet": 6, "show": 7, "teach": 8, "lab": 9, "author_cli": 9, "fleet_cli": 9,
    "longrun_cli": 9, "reference_options": 9, "cli": 10,
}  # fmt: skip
MODULES = sorted(p for p in PACKAGE.rglob("*.py") if p.parent != PACKAGE or p.stem in ORDER)


def rooms_of(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        names += [a.name for a in node.names] if isinstance(node, ast.Import) else []
        for name in names:
            parts = name.split(".")
            if parts[0] == "airside" and len(parts) > 1:
                yield parts[1]


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_imports_come_from_the_left(path):
    room = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
    assert room in ORDER
    for other in rooms_of(path):
        assert other == room or ORDER[other] < ORDER[room] or ORDER[other] == ORDER[room] == 0, other
