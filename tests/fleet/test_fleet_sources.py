"""Which systems a folder, a pattern or a Parquet file has."""

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from airside.errors import FileError, VisitError
from airside.fleet.long_form import find_in_parquet, read_system
from airside.fleet.sources import find_systems


def files(folder, *names):
    for name in names:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("")


def found(what):
    return {s.name: [(o.period, o.path.rsplit("/", 1)[-1]) for o in s.sources] for s in find_systems(what)}


def test_a_folder_of_systems(tmp_path):
    files(tmp_path, "bakery/visit.toml", "bakery/log.csv", "clinic/before.toml", "clinic/After_cleaning.toml",
          "library/east.toml", "library/west.toml", "loose.toml")  # fmt: skip
    assert found(tmp_path) == {
        "bakery": [("", "visit.toml")],
        "clinic": [("before", "before.toml"), ("after", "After_cleaning.toml")],
        "library/east": [("", "east.toml")],
        "library/west": [("", "west.toml")],
        "loose": [("", "loose.toml")],
    }


def test_a_pattern_and_a_folder_name_systems_alike(tmp_path):
    files(tmp_path, "a/before.toml", "a/after.toml", "b/visit.toml")
    assert found(f"{tmp_path}/*/*.toml") == found(tmp_path)


def test_one_system_by_its_file(tmp_path):
    files(tmp_path, "a/visit.toml")
    assert found(tmp_path / "a" / "visit.toml") == {"a": [("", "visit.toml")]}


def test_a_file_and_a_folder_of_one_name_are_two_systems(tmp_path):
    files(tmp_path, "a/visit.toml", "a.toml")
    assert found(tmp_path) == {"a": [("", "visit.toml")], "a.toml": [("", "a.toml")]}


def test_two_files_for_one_period_are_said(tmp_path):
    files(tmp_path, "a/before_1.toml", "a/before_2.toml", "a/after.toml")
    (system,) = find_systems(tmp_path)
    assert "2 files begin with before (before_1.toml, before_2.toml); expected one" in system.problem


@pytest.mark.parametrize(
    ("name", "said"),
    [("nowhere", "there is no such file or folder"), ("no*.toml", "no file fits it"), ("", "holds no visit file"),
     ("x.parquet", "with --visit")],
)  # fmt: skip
def test_what_is_no_fleet(tmp_path, name, said):
    (tmp_path / "x.parquet").write_bytes(b"PAR1")
    with pytest.raises(FileError, match=said):
        find_systems(f"{tmp_path}/{name}")


TEMPLATE = """
format = "airside visit 1"
name = "Fleet"
[site]
elevation = 10
[log.counting]
window = 20
"""


@pytest.fixture
def template(tmp_path):
    path = tmp_path / "template.toml"
    path.write_text(TEMPLATE)
    return path


def written(path, names, rows_in_group, **more):
    table = pa.table({"system": names, "value": list(range(len(names))), **more})
    path.parent.mkdir(parents=True, exist_ok=True)
    pq.write_table(table, path, row_group_size=rows_in_group)
    return path


def test_mixed_rows_are_told_apart(tmp_path, template):
    path = written(tmp_path / "all.parquet", ["a", "b", "a", None, "a", "b", " ", "c"], 3)
    long = find_in_parquet(path, template)
    values = {s.name: read_system(s).column("value").to_pylist() for s in long.systems}
    assert values == {"a": [0, 2, 4], "b": [1, 5], "c": [7]}
    assert long.notes == (f"{path}: 2 rows name no system and are in no result.",)


def test_systems_that_are_numbers(tmp_path, template):
    long = find_in_parquet(written(tmp_path / "all.parquet", [7, 7, 12], 2), template)
    assert {s.name: read_system(s).num_rows for s in long.systems} == {"7": 2, "12": 1}


def test_a_folder_of_files_and_of_named_folders(tmp_path, template):
    written(tmp_path / "f" / "1.parquet", ["a", "b"], 9)
    written(tmp_path / "f" / "2.parquet", ["a"], 9)
    pq.write_table(pa.table({"value": [5]}), _made(tmp_path / "f" / "system=east wing") / "x.parquet")
    values = {
        s.name: read_system(s).column("value").to_pylist() for s in find_in_parquet(tmp_path / "f", template).systems
    }
    assert values == {"a": [0, 0], "b": [1], "east wing": [5]}


def _made(folder):
    folder.mkdir(parents=True)
    return folder


def test_own_tables_and_periods_go_over_the_template(tmp_path, template):
    template.write_text(
        TEMPLATE
        + '[periods]\nbefore = { last = "2026-06-14" }\nafter = { first = "2026-06-17" }\n[systems.b]\nsite.elevation = 900\n'
    )
    a, b = find_in_parquet(written(tmp_path / "all.parquet", ["a", "b"], 9), template).systems
    assert [s.period for s in a.sources] == ["before", "after"]
    assert a.sources[1].data["log"]["counting"] == {"window": 20, "first": "2026-06-17"}
    assert (a.sources[0].data["site"], b.sources[0].data["site"]) == ({"elevation": 10}, {"elevation": 900})
    assert b.sources[0].data["name"] == "Fleet, b"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("[systems.unit_one]\nmode = 'cooling'\n", 'no row of the Parquet is of this system. Did you mean "unit_1"'),
        ("systems = 3\n", "expected tables such as"),
        ("[periods]\nbefore = { last = 1 }\n", "expected before and after"),
        ("[periods]\nbefore = { to = 1 }\nafter = { first = 1 }\n", "expected when it begins or ends"),
    ],
)
def test_a_template_with_a_slip(tmp_path, template, more, said):
    # A key at the top must come before the tables.
    template.write_text(more + TEMPLATE if more.startswith("systems =") else TEMPLATE + more)
    with pytest.raises(VisitError, match=said):
        find_in_parquet(written(tmp_path / "all.parquet", ["unit_1"], 9), template)


def test_parquet_that_cannot_be_used(tmp_path, template):
    other = tmp_path / "other.parquet"
    pq.write_table(pa.table({"unit": ["a"]}), other)
    with pytest.raises(FileError, match='has no column "system" that names the system of each row; found unit'):
        find_in_parquet(other, template)
    other.write_bytes(b"PAR1 and then nothing")
    with pytest.raises(FileError, match="is not a Parquet file that can be read"):
        find_in_parquet(other, template)
    with pytest.raises(FileError, match="there is no such file"):
        find_in_parquet(tmp_path / "none.parquet", template)
    with pytest.raises(FileError, match="holds no row that names its system"):
        find_in_parquet(written(other, pa.array([None], pa.string()), 9), template)
