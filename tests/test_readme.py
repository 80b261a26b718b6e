"""What the README says is what happens: its sample output, its sentence, its code."""

from __future__ import annotations

import re
import tomllib
from io import StringIO
from pathlib import Path

from rich.console import Console

import airside
from airside.compare.long_run import long_run
from airside.show.long_run_table import print_long_run
from airside.show.stretch_table import stretch_cells
from airside.visit.logs import counting
from airside.visit.logs.log_schema import _FILE_KEYS
from airside.visit.logs.logged_visit import load_logged

TOP = Path(__file__).resolve().parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")


def visit(name):
    return airside.load_visit(TOP / "data" / "reading_room" / f"{name}.toml")


def test_the_sample_output_is_what_the_command_prints():
    block = re.search(r"```text\n(.*?)```", README, re.DOTALL)[1]
    rows = {r.title: r for r in airside.analyse(visit("before")).parts()[0][1]}
    lines = [line for line in block.splitlines() if line.startswith(" ") and "interval" not in line]
    assert len(lines) == 5
    for line in lines:
        title = next(t for t in rows if line.strip().startswith(t))
        said = " ".join(line.split())
        assert said == f"{title} {rows[title].text('IP')} {rows[title].interval_text('IP')}"


def test_the_verdict_is_that_of_the_demo():
    sentence = re.search(r"^> (The data support .*)$", README, re.MULTILINE)[1]
    assert sentence == airside.compare(visit("before"), visit("after"), with_budget=False).verdict


def test_the_finding_is_that_of_the_demo():
    quoted = re.search(r"^> (Fouled outdoor coil.*?)\n\n", README, re.DOTALL | re.MULTILINE)[1]
    start, end = " ".join(quoted.replace("\n> ", " ").split()).split(" ... ")
    sentence = airside.explain(visit("before")).finding_sentences("IP")[0]
    assert sentence.startswith(start)
    assert sentence.endswith(end)


def test_the_python_example_runs(monkeypatch, capsys):
    monkeypatch.chdir(TOP)
    code = re.search(r"```python\n(.*?)```", README, re.DOTALL)[1]
    exec(compile(code, "README.md", "exec"), {})
    assert "Total capacity" in capsys.readouterr().out


def test_the_logged_example_is_that_of_the_demo():
    section = README[README.index("## Logged data") : README.index("## Units")]
    said = tomllib.loads(re.search(r"```toml\n(.*?)```", section, re.DOTALL)[1])
    data = tomllib.loads((TOP / "data" / "clinic" / "before.toml").read_text(encoding="utf-8"))
    assert said["log"] == data["log"]
    for key, value in said["readings"]["return"].items():
        assert data["readings"]["return"][key] == value
    # Every key that the visit file may have is in the table.
    for key in (*_FILE_KEYS, *counting.KEYS):
        assert f"`{key}`" in section, key
    text = re.search(r"```text\n(.*?)```", section, re.DOTALL)[1]
    logged = load_logged(TOP / "data" / "clinic" / "before.toml")
    assert text.startswith(f"{len(logged)} steady stretches of 30 min, in 24 of {len(logged.runs)} runs")
    for i, line in enumerate(text.splitlines()[3:]):
        assert line.split() == " ".join(stretch_cells(logged, i, "SI")).split()


def test_the_long_periods_are_those_of_the_demo():
    section = README[README.index("## Long periods") : README.index("## Many systems")]
    console = Console(file=StringIO(), width=160)
    clinic = TOP / "data" / "clinic"
    print_long_run(console, long_run(clinic / "before.toml", clinic / "after.toml"), "SI")
    printed = {" ".join(line.split()) for line in console.file.getvalue().splitlines()}
    for line in re.search(r"```text\n(.*?)```", section, re.DOTALL)[1].splitlines():
        assert " ".join(line.split()) in printed, line


def test_every_picture_and_link_is_there():
    for target in re.findall(r"\]\(([^)]+)\)", README):
        assert (TOP / target).exists(), target
