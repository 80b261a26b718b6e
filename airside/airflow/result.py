"""`Airflow`: how much air, at which state it holds, and what the figure is worth.

Sources
-------
10 CFR part 430 subpart B appendix M1, definition of standard air: dry air of 0.075 lb/ft³.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from airside.air.blocks import Number
from airside.air.state import MoistAir
from airside.airflow.defaults import METHODS
from airside.errors import EvidenceError
from airside.results import Result, Row

# Density of standard air [kg dry air per m³]: 0.075 lb/ft³, 10 CFR 430 subpart B appendix M1 section 1.
STANDARD_DENSITY = 0.075 * 0.45359237 / 0.3048**3


@dataclass(frozen=True, eq=False, repr=False)
class Airflow(Result):
    """Airflow from one kind of evidence; every method returns this.

    Make one by `measured`, `fan_table`, `traverse`, `temperature_rise`, `pressure_match`,
    `coil_pressure_drop` or `rule_of_thumb`.

    Attributes
    ----------
    volume_flow : float or array [m³/s]
        Actual volume flow at the state `at`.
    at : MoistAir
        State at which the volume flow holds.
    method : str
    relative_standard_uncertainty : float [fraction]
        One standard deviation over the value.
    uncertainty_source : str
        Where that figure comes from.
    evidence : tuple of Row
        What the method found on its way: area, mean velocity, scatter, table static.
    assumptions : tuple of str
    warnings : tuple of str
    """

    volume_flow: Number
    at: MoistAir
    method: str
    relative_standard_uncertainty: float
    uncertainty_source: str
    evidence: tuple[Row, ...] = ()
    assumptions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    measured: ClassVar[Callable[..., Airflow]]
    fan_table: ClassVar[Callable[..., Airflow]]
    traverse: ClassVar[Callable[..., Airflow]]
    temperature_rise: ClassVar[Callable[..., Airflow]]
    pressure_match: ClassVar[Callable[..., Airflow]]
    coil_pressure_drop: ClassVar[Callable[..., Airflow]]
    rule_of_thumb: ClassVar[Callable[..., Airflow]]

    @property
    def title(self) -> str:  # type: ignore[override]
        """Names the method."""
        return "Airflow as measured" if self.method == "measured" else f"Airflow by {self.method}"

    @property
    def dry_air_mass_flow(self) -> Number:
        """Dry air [kg/s]: volume flow over the volume per dry air at the state where it holds."""
        return self.volume_flow / self.at.specific_volume

    @property
    def standard_volume_flow(self) -> Number:
        """The same dry air as standard air of 0.075 lb/ft³ [m³/s]."""
        return self.dry_air_mass_flow / STANDARD_DENSITY

    def rows(self) -> Iterable[Row]:
        """Every number of the airflow."""
        return [
            Row("volume_flow", self.volume_flow, "volume_flow"),
            Row("standard_volume_flow", self.standard_volume_flow, "volume_flow", "as standard air"),
            Row("dry_air_mass_flow", self.dry_air_mass_flow, "mass_flow"),
            Row("relative_standard_uncertainty", self.relative_standard_uncertainty, "percentage",
                "method's standard uncertainty"),
            *self.evidence,
        ]  # fmt: skip

    def notes(self) -> Iterable[str]:
        """Where the uncertainty comes from, warnings, assumptions."""
        return (f"Uncertainty: {self.uncertainty_source}", *self.warnings, *self.assumptions)


def airflow_at(
    volume_flow: Number,
    at: MoistAir,
    method: str,
    relative_standard_uncertainty: float | None,
    *,
    own_uncertainty: tuple[float, str] | None = None,
    evidence: tuple[Row, ...] = (),
    assumptions: tuple[str, ...] = (),
    warnings: tuple[str, ...] = (),
) -> Airflow:
    """Build an `Airflow` and settle its uncertainty: the user's, else the evidence's own, else the default.

    Parameters
    ----------
    volume_flow : float or array [m³/s]
        Actual volume flow at ``at``.
    at : MoistAir
    method : str
        A name in `airside.airflow.defaults.METHODS`.
    relative_standard_uncertainty : float [fraction] or None
        What the user states.
    own_uncertainty : tuple of (float [fraction], str), optional
        What the evidence itself gives, and where that comes from.
    evidence : tuple of Row
        What the method found on its way.
    assumptions, warnings : tuple of str

    Returns
    -------
    Airflow

    Raises
    ------
    EvidenceError
        A flow that is not above zero, or a relative uncertainty outside 0 to 1.
    """
    flows = np.asarray(volume_flow)
    # NaN is a draw on air that cannot be: it stays NaN.
    if np.any(flows <= 0) or not np.any(flows > 0):
        least = float(np.min(flows))
        raise EvidenceError(
            f"{method}: the airflow comes out as {least:.4g} m³/s, but it must be above zero. Check the readings."
        )
    if relative_standard_uncertainty is not None:
        if not 0 <= relative_standard_uncertainty < 1:
            raise EvidenceError(
                f"{method}: a relative standard uncertainty of {relative_standard_uncertainty:g} was given; "
                "expected a fraction from 0 to 1, such as 0.05."
            )
        value, source = float(relative_standard_uncertainty), "stated by the user"
    elif own_uncertainty is not None:
        value, source = own_uncertainty
    else:
        value, source = METHODS[method].relative_standard_uncertainty, METHODS[method].source
    return Airflow(volume_flow, at, method, value, source, evidence, assumptions, warnings)
