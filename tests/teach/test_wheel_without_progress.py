"""What somebody has tried in the lessons is theirs: it goes neither into a wheel nor into another's folder."""

import shutil
import tomllib
import zipfile
from pathlib import Path

import pytest

from airside.lab import prepare_folder
from airside.teach import places, shipped

TOP = Path(__file__).resolve().parents[2]


def test_the_rules_of_the_package_leave_it_out():
    wheel = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]["build"]["targets"][
        "wheel"
    ]
    # A forced folder is taken whole, whatever is excluded.
    assert "force-include" not in wheel and "my_progress*" in wheel["exclude"]


def test_a_wheel_holds_no_progress_and_all_of_the_lessons(tmp_path):
    hatchling = pytest.importorskip(
        "hatchling.builders.wheel", reason="hatchling, which builds the wheel, is not installed"
    )
    tree = tmp_path / "tree"
    for name in ("airside", "notebooks", "data"):
        shutil.copytree(TOP / name, tree / name, ignore=shutil.ignore_patterns("__pycache__", ".ipynb_checkpoints"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(TOP / name, tree / name)
    for name in ("my_progress.jsonl", "my_progress.damaged-1.jsonl", "lessons/my_progress.jsonl"):
        (tree / "notebooks" / name).write_text("mine", encoding="utf-8")
    built = next(iter(hatchling.WheelBuilder(str(tree)).build(directory=str(tmp_path / "out"))))
    names = zipfile.ZipFile(built).namelist()
    assert not [n for n in names if "my_progress" in n and not n.endswith(".py")]
    for folder in ("notebooks", "data"):
        there = {p.relative_to(tree / folder).as_posix() for p in (tree / folder).rglob("*") if p.is_file()}
        packed = {n.removeprefix(f"airside/_{folder}/") for n in names if n.startswith(f"airside/_{folder}/")}
        assert packed == {n for n in there if "my_progress" not in n}
    assert "airside/__init__.py" in names and "airside/teach/exports/sheet.css" in names


def test_a_new_folder_gets_none_of_it(tmp_path, monkeypatch):
    for name in ("notebooks", "data"):
        (tmp_path / "from" / name).mkdir(parents=True)
    (tmp_path / "from" / "notebooks" / "my_progress.jsonl").write_text("mine", encoding="utf-8")
    (tmp_path / "from" / "notebooks" / "start.ipynb").write_text("{}", encoding="utf-8")
    monkeypatch.setattr("airside.lab.shipped", lambda: {n: tmp_path / "from" / n for n in ("notebooks", "data")})
    made = prepare_folder(tmp_path / "to")
    assert [p.name for p in made.rglob("*") if p.is_file()] == ["start.ipynb"]


def test_one_place_says_where_the_demo_data_are():
    assert places.demo_folder() == shipped.shipped()["data"]
    assert (places.demo_folder() / "reading_room" / "before.toml").is_file()
