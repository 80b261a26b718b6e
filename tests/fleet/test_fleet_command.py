"""`airside fleet` and `airside fleet-demo`."""

from fleet_made import table_of


def test_a_made_fleet_goes_through(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    status, said, _ = run("fleet-demo", "fleet", "--systems", 3, "--days", 1)
    assert status == 0 and "Invented readings: fleet/readings.parquet" in said
    arguments = ("fleet", "fleet/readings.parquet", "--visit", "fleet/template.toml", "--out", "results.parquet")
    assert f"airside {' '.join(arguments)}" in said
    status, said, errors = run(*arguments)
    assert status == 0 and said.startswith("3 systems: ")
    # No bar where nobody looks.
    assert errors == ""
    assert len(table_of("results_systems.csv")) == 3
    status, _, errors = run(*arguments)
    assert status == 2 and "results.parquet: exists already" in errors
    status, said, _ = run(*arguments, "--force")
    assert status == 0 and "3 systems, 3 of them done before" in said


def test_folders_and_a_broken_system(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    run("fleet-demo", "fleet", "--systems", 2, "--days", 1, "--folders", "--mended")
    (tmp_path / "fleet/systems/unit_001/after.toml").write_text("units = 3")
    status, said, _ = run("fleet", "fleet/systems", columns="500")
    assert status == 0 and "Systems with a problem" in said and "unit_001: " in said and "after.toml" in said
    first, second = table_of("results_systems.csv")
    assert first["problem"] and first["before_total_W"] and not first["total_W"]
    assert second["change"] and second["periods"] == "before and after"


def test_bad_input_is_a_sentence(run, tmp_path):
    status, said, errors = run("fleet", tmp_path / "nothing", "--out", tmp_path / "results.parquet")
    assert status == 2 and said == "" and "there is no such file or folder" in errors
    status, _, errors = run("fleet-demo", tmp_path / "fleet", "--days", 0.01)
    assert status == 2 and "expected at least one system, an hour" in errors
