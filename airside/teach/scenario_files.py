"""Write what a scenario gives: visit files, logger files and a fan table for the trainee; the truth apart, for the answer key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from airside.errors import OutputError, Problem, VisitError
from airside.files import check_free, write_whole
from airside.teach.scenario import ScenarioError, read_scenario, scenario_place
from airside.teach.scenario_airflow import TABLE_FILE, table_text
from airside.teach.scenario_log import log_text
from airside.teach.scenario_readings import Meter, place_truth, shift_at, visit_data
from airside.teach.scenario_schema import STAGES, Scenario
from airside.teach.scenario_truth import PairTruth, StageTruth, true_pair
from airside.units import UnitSystem, percent, show
from airside.visit.write import visit_text

# No word of a scenario, of faults or of truth: the trainee reads this line.
INVENTED = "# Invented for teaching: no such building, no such equipment, no such readings."
TRUTH_FORMAT = "airside truth 1"
# A seed is a student's number, or a class's.
LARGEST_SEED = 2**31


@dataclass(frozen=True)
class ScenarioFiles:
    """What a scenario gives for one seed.

    Attributes
    ----------
    trainee : dict of str to str
        Files by name: visits, logger files, a fan table where the airflow is read from one.
    truth : str
        The truth file, TOML.
    """

    trainee: Mapping[str, str]
    truth: str


def scenario_files(scenario: Scenario, seed: int) -> ScenarioFiles:
    """The files of a scenario for a seed; the same seed, the same bytes.

    Parameters
    ----------
    scenario : Scenario
    seed : int
        From 0; a student's number gives each student other readings.

    Raises
    ------
    ScenarioError
        The drawn conditions have no answer, or the fan table does not reach the airflow.
    """
    if not 0 <= seed <= LARGEST_SEED:
        raise ScenarioError("scenario", f"the seed is {seed}; expected 0 to {LARGEST_SEED}.")
    pair, meter = true_pair(scenario, seed), Meter(scenario, seed)
    trainee: dict[str, str] = {}
    for stage in STAGES:
        try:
            visit = visit_text(visit_data(scenario, pair.stage(stage), meter))
        except VisitError as error:
            said = f"with seed {seed} the readings make no visit: {error.problems[0]}"
            raise ScenarioError("scenario", [Problem(said, stage)]) from None
        trainee[f"{stage}.toml"] = f"{INVENTED}\n{visit}"
    for stage in STAGES:
        trainee[f"{stage}_log.csv"] = log_text(scenario, pair.stage(stage), meter, INVENTED)
    if scenario.airflow.method == "fan table":
        trainee[TABLE_FILE] = table_text(scenario, INVENTED)
    return ScenarioFiles(trainee, truth_text(scenario, pair, meter, seed))


def write_scenario(
    path: str | Path,
    seed: int,
    out: str | Path | None = None,
    *,
    truth: str | Path | None = None,
    force: bool = False,
) -> tuple[Path, ...]:
    """Write the files of a scenario.

    Parameters
    ----------
    path : str or Path
        The scenario's file, or its folder.
    seed : int
    out : str or Path, optional
        Folder of the trainee's files; it is made where it is missing. Default: ``visits`` beside the scenario.
    truth : str or Path, optional
        The truth file; default: beside that folder, with its name and ``_truth.toml``.
    force : bool
        Replace files that exist.

    Returns
    -------
    tuple of Path
        The trainee's files, then the truth file.

    Raises
    ------
    ScenarioError
        The scenario cannot be used.
    OutputError
        A file exists already, the truth would lie among the trainee's files, or a place cannot be written to.
    """
    source = scenario_place(path)
    try:
        made = scenario_files(read_scenario(source), seed)
    except ScenarioError as error:
        # Below the reader the file's name is not known.
        raise ScenarioError(str(source), error.problems) from None
    folder = source.parent / "visits" if out is None else Path(out)
    apart = folder.with_name(f"{folder.resolve().name}_truth.toml") if truth is None else Path(truth)
    if apart.resolve().is_relative_to(folder.resolve()):
        raise OutputError(
            f"{apart}: lies among the trainee's files in {folder}. Name a place for the truth outside that folder."
        )
    _make(folder)
    places = {folder / name: text for name, text in made.trainee.items()} | {apart: made.truth}
    # All or nothing: no file is written where another is in the way.
    for place in places:
        check_free(place, force=force)
    return tuple(write_whole(place, text, force=force) for place, text in places.items())


def _make(folder: Path) -> None:
    try:
        folder.mkdir(exist_ok=True)
    except FileNotFoundError:
        raise OutputError(f"{folder}: the folder {folder.parent} does not exist. Make it first.") from None
    except OSError as error:
        raise OutputError(f"{folder}: cannot be made ({error.strerror}). Name another place.") from None


# -- the truth -----------------------------------------------------------------------------------------


def truth_text(scenario: Scenario, pair: PairTruth, meter: Meter, seed: int) -> str:
    """The truth file: SI with the unit in each key, and sentences in the scenario's units."""
    import tomli_w

    from airside import __version__

    data = {
        "format": TRUTH_FORMAT, "scenario": scenario.name, "seed": seed, "written_by": f"airside {__version__}",
        "says": _sentences(scenario, pair),
        "change": {
            "as_measured": _digits(pair.change), "at_conditions_of_before": _digits(pair.change_at_before),
            "own_slopes_against_curve": {k: _digits(v) for k, v in pair.slopes.items()},
        },
        **{stage: _stage(scenario, pair.stage(stage), meter) for stage in STAGES},
    }  # fmt: skip
    head = "# The truth behind invented readings, for the answer key: keep it away from the trainees."
    return f"# Invented. {head[2:]}\n{tomli_w.dumps(data)}"


def _digits(value: Any) -> float:
    return float(f"{float(np.asarray(value)):.6g}")


def _stage(scenario: Scenario, truth: StageTruth, meter: Meter) -> dict[str, Any]:
    capacity = truth.capacity
    found: dict[str, Any] = {
        "airflow_fault": truth.airflow_fault, "charge_fault": truth.charge_fault,
        "charge_multiplies_capacity_with": _digits(truth.charge_capacity),
        "total_W": _digits(capacity.total), "sensible_W": _digits(capacity.sensible), "latent_W": _digits(capacity.latent),
        "moisture_removal_kg_h": _digits(capacity.moisture_removal),
        "dry_air_mass_flow_kg_s": _digits(capacity.dry_air_mass_flow),
        "return_volume_flow_m3_s": _digits(truth.volume_flow), "barometric_pressure_Pa": _digits(truth.return_air.pressure),
        "outdoor_dry_bulb_C": _digits(truth.outdoor_dry_bulb),
    }  # fmt: skip
    for place, air in (("return", truth.return_air), ("supply", truth.supply_air)):
        found[f"{place}_dry_bulb_C"] = _digits(air.dry_bulb)
        found[f"{place}_relative_humidity"] = _digits(air.relative_humidity)
        found[f"{place}_humidity_ratio"] = _digits(air.humidity_ratio)
    if np.isfinite(float(np.asarray(truth.coil.apparatus_dew_point))):
        found["apparatus_dew_point_C"] = _digits(truth.coil.apparatus_dew_point)
    found["bypass_factor"] = _digits(truth.coil.bypass_factor)
    if truth.power is not None:
        found["outdoor_unit_power_W"] = _digits(truth.power)
    errors: dict[str, Any] = {}
    for place in ("return", "supply", "outdoor"):
        for quantity, true in place_truth(scenario, truth, place).items():
            name = f"{place}_{quantity}{'' if quantity == 'relative_humidity' else '_K'}"
            errors[name] = _digits(shift_at(scenario, truth, meter, place, quantity, true))
    return {**found, "readings_are_higher_by": errors}


def _sentences(scenario: Scenario, pair: PairTruth) -> list[str]:
    units = scenario.units
    said = []
    for stage in STAGES:
        truth = pair.stage(stage)
        said.append(
            f"{stage.capitalize()}: {show(truth.total, 'capacity', units)} total at {_air(truth, units)}, "
            f"{show(truth.volume_flow, 'volume_flow', units)} of return air; airflow fault {percent(truth.airflow_fault, 1, sign=True)}, "
            f"charge fault {percent(truth.charge_fault, 1, sign=True)}."
        )
    said.append(
        f"Change of total capacity: {percent(pair.change, 1, sign=True)} as it was, "
        f"{percent(pair.change_at_before, 1, sign=True)} at the conditions of the before visit."
    )
    return said


def _air(truth: StageTruth, units: UnitSystem) -> str:
    air = truth.return_air
    return (
        f"{show(float(np.asarray(air.dry_bulb)), 'temperature', units)} and "
        f"{percent(float(np.asarray(air.relative_humidity)))} RH return, "
        f"{show(truth.outdoor_dry_bulb, 'temperature', units)} outdoors"
    )
