"""What return and supply air say of the cooling coil between them.

The process line goes straight in dry bulb and humidity ratio from return through supply air. Where
it meets saturation is the apparatus dew point: as if a part of the air, the bypass factor, went past
the coil, and the rest left saturated at that temperature.

- Bypass factor, by enthalpy: (h2 - h_adp) / (h1 - h_adp), as the DX-coil model of EnergyPlus has it.
  By dry bulb it is (t2 - t_adp) / (t1 - t_adp). They differ by some thousandths: along a straight line enthalpy
  is not quite straight, because vapour is heated too.
- Contact factor: 1 - bypass factor. Number of transfer units: NTU = -ln(bypass factor).
- Effective surface: NTU times dry air flow [kg/s]; it stays with the coil when the flow changes.

No apparatus dew point: a dry coil (its surface may be anything above the dew point), a line that
does not meet saturation, air that is not cooled. `CoilStatus` says which, and the numbers are NaN.

Sources
-------
EnergyPlus Engineering Reference, "Single-Speed DX Cooling Coil", bypass factor and apparatus dew point.
ASHRAE Handbook—Fundamentals (2017) ch. 1, "Typical air-conditioning processes".
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from airside.air import properties
from airside.air.blocks import Array, Number, blockwise
from airside.air.coil_saturation import line_meets_saturation, moist_enthalpy, saturated_ratio
from airside.air.coil_status import Codes, CoilStatus, describe
from airside.air.process import DryAirFlow
from airside.air.state import MoistAir
from airside.results import Result, Row
from airside.units import as_inside

# Return less supply humidity ratio up to which a coil counts as dry [kg/kg]: 0.01 g/kg (0.07 gr/lb) is below what any
# probe in a duct resolves; common practice, no source.
DRY_LIMIT = 1e-5


def _number(value: Any) -> Number:
    array = np.asarray(value, dtype=np.float64)
    return float(array) if array.ndim == 0 else array


def status_of(codes: Number) -> CoilStatus | Codes:
    """Codes of a kernel, as the results hold them."""
    return CoilStatus(int(codes)) if isinstance(codes, float) else codes.astype(np.int8)


@dataclass(frozen=True, eq=False, repr=False)
class CoilPerformance(Result):
    """A cooling coil as return and supply air show it.

    Attributes
    ----------
    return_air, supply_air : MoistAir
        Entering and leaving the coil.
    status : CoilStatus or array of its codes
    apparatus_dew_point : float or array [°C]
        NaN where `status` is not WET.
    bypass_factor : float or array [fraction]
        By enthalpy.
    dry_bulb_bypass_factor : float or array [fraction]
        By dry bulb, which is also that by humidity ratio.
    dry_air_mass_flow : float or array [kg/s] or None
    surface_temperature : float or array [°C] or None
        Of the coil's surface or its refrigerant, where known.
    """

    return_air: MoistAir
    supply_air: MoistAir
    status: CoilStatus | Codes
    apparatus_dew_point: Number
    bypass_factor: Number
    dry_bulb_bypass_factor: Number
    dry_air_mass_flow: Number | None = None
    surface_temperature: Number | None = None
    title = "Cooling coil"

    @property
    def is_wet(self) -> Any:
        """Whether the coil takes water from the air: a bool, or an array of them."""
        found = np.asarray(self.status) == CoilStatus.WET
        found = found | (np.asarray(self.status) == CoilStatus.NO_MEETING)
        return bool(found) if found.ndim == 0 else found

    @property
    def contact_factor(self) -> Number:
        """Part of the air that leaves saturated at the apparatus dew point [fraction]."""
        return _number(1 - np.asarray(self.bypass_factor))

    @cached_property
    def number_of_transfer_units(self) -> Number:
        """-ln(bypass factor); infinite where the air leaves saturated."""
        with np.errstate(divide="ignore"):
            return _number(-np.log(self.bypass_factor))

    @cached_property
    def effective_surface(self) -> Number | None:
        """-ln(bypass factor) times dry air flow [kg/s]; None where no flow is known."""
        if self.dry_air_mass_flow is None:
            return None
        return _number(self.number_of_transfer_units * np.asarray(self.dry_air_mass_flow))

    @cached_property
    def enthalpy_difference(self) -> Number:
        """Return less supply enthalpy [J/kg dry air]."""
        return _number(np.subtract(self.return_air.enthalpy, self.supply_air.enthalpy))

    @cached_property
    def sensible_heat_ratio(self) -> Number:
        """Sensible over total [fraction], split as in `airside.delivered_capacity`; NaN where the total is zero."""
        dried = np.subtract(self.return_air.humidity_ratio, self.supply_air.humidity_ratio)
        heat = properties.EVAPORATION_HEAT + properties.SPECIFIC_HEAT_VAPOUR * np.asarray(self.return_air.dry_bulb)
        total = np.asarray(self.enthalpy_difference)
        with np.errstate(divide="ignore", invalid="ignore"):
            return _number(np.where(total == 0, np.nan, 1 - heat * dried / total))

    @cached_property
    def enthalpy_effectiveness(self) -> Number | None:
        """(h1 - h2) / (h1 - hs), hs saturated at `surface_temperature`; None where that is unknown.

        NaN where air saturated at the surface temperature holds no less heat than the return air.
        """
        if self.surface_temperature is None:
            return None
        surface = np.asarray(self.surface_temperature)
        held = properties.saturation_humidity_ratio(self.surface_temperature, self.return_air.pressure)
        most = np.subtract(self.return_air.enthalpy, moist_enthalpy(surface, np.asarray(held)))
        with np.errstate(divide="ignore", invalid="ignore"):
            return _number(np.where(most > 0, np.asarray(self.enthalpy_difference) / most, np.nan))

    @property
    def leaving_relative_humidity(self) -> Number:
        """Relative humidity of the supply air [fraction]."""
        return self.supply_air.relative_humidity

    def rows(self) -> Iterable[Row]:
        """Every number of the coil."""
        rows = [
            Row("apparatus_dew_point", self.apparatus_dew_point, "temperature"),
            Row("bypass_factor", self.bypass_factor, "fraction"),
            Row("dry_bulb_bypass_factor", self.dry_bulb_bypass_factor, "fraction", "bypass factor by dry bulb"),
            Row("contact_factor", self.contact_factor, "fraction"),
            Row("number_of_transfer_units", self.number_of_transfer_units, "fraction"),
            Row("sensible_heat_ratio", self.sensible_heat_ratio, "fraction"),
            Row("leaving_relative_humidity", self.leaving_relative_humidity, "relative_humidity"),
        ]
        if self.effective_surface is not None:
            rows.append(Row("effective_surface", self.effective_surface, "mass_flow"))
        if self.enthalpy_effectiveness is not None:
            rows.append(Row("surface_temperature", self.surface_temperature, "temperature"))
            rows.append(Row("enthalpy_effectiveness", self.enthalpy_effectiveness, "fraction"))
        return rows

    def notes(self) -> Iterable[str]:
        """Wet or dry, and what the numbers mean."""
        return (describe(self.status), "Bypass factor by enthalpy, as in the EnergyPlus Engineering Reference.")

    def to_dict(self) -> dict[str, Any]:
        """The numbers in SI, and ``status`` in words."""
        words = self.status.words if isinstance(self.status, CoilStatus) else _words(self.status)
        return {"status": words, **super().to_dict()}


def _words(codes: Codes) -> list[str]:
    return [CoilStatus(int(c)).words for c in codes.reshape(-1)]


def _coil(t1: Array, w1: Array, t2: Array, w2: Array, p: Array) -> tuple[Array, Array, Array, Array]:
    """Apparatus dew point, bypass factor by enthalpy and by dry bulb, status."""
    t1, w1, t2, w2, p = np.broadcast_arrays(t1, w1, t2, w2, p)
    cooled, dried = t1 - t2, w1 - w2
    status = np.full(t1.shape, float(CoilStatus.WET))
    status[dried <= DRY_LIMIT] = CoilStatus.DRY
    status[cooled <= 0] = CoilStatus.NOT_COOLED
    status[np.isnan(cooled + dried + p)] = CoilStatus.UNKNOWN
    apparatus, by_enthalpy, by_dry_bulb = (np.full(t1.shape, np.nan) for _ in range(3))
    wet = np.flatnonzero(status == CoilStatus.WET)
    if wet.size:
        cooled, dried = cooled[wet], dried[wet]
        t1, w1, t2, w2, p = (a[wet] for a in (t1, w1, t2, w2, p))
        at = line_meets_saturation(t2, w2, dried / cooled, p)
        status[wet[np.isnan(at)]] = CoilStatus.NO_MEETING
        apparatus[wet] = at
        by_dry_bulb[wet] = (t2 - at) / (t1 - at)
        least = moist_enthalpy(at, saturated_ratio(at, p))
        past = (moist_enthalpy(t2, w2) - least) / (moist_enthalpy(t1, w1) - least)
        # Saturated supply air leaves rounding around zero.
        by_enthalpy[wet] = np.where(at == t2, 0.0, np.maximum(past, 0.0))
    return apparatus, by_enthalpy, by_dry_bulb, status


def coil_performance(
    return_air: MoistAir,
    supply_air: MoistAir,
    flow: DryAirFlow | Number | None = None,
    *,
    surface_temperature: Any = None,
) -> CoilPerformance:
    """Apparatus dew point, bypass factor and what follows, from the air on both sides of a cooling coil.

    Parameters
    ----------
    return_air, supply_air : MoistAir
        Entering and leaving the coil; scalars or arrays. The pressure is that of ``return_air``.
    flow : Airflow, or float or array [kg/s dry air], optional
        For the effective surface, and needed by `predict_coil`.
    surface_temperature : float or array [°C], optional
        Of the coil's surface, or the saturated suction temperature, for the enthalpy effectiveness.

    Returns
    -------
    CoilPerformance
        Where there is no apparatus dew point, ``status`` says why and the numbers are NaN. Nothing is
        raised: among draws such elements are normal.

    Notes
    -----
    EnergyPlus Engineering Reference, "Single-Speed DX Cooling Coil". Solved to 1e-9 K; see
    `airside.air.coil_saturation`.
    """
    mass_flow: Number | None = None
    if flow is not None:
        mass_flow = flow if isinstance(flow, (float, int, np.ndarray, np.generic)) else flow.dry_air_mass_flow
    apparatus, by_enthalpy, by_dry_bulb, codes = blockwise(
        _coil, return_air.dry_bulb, return_air.humidity_ratio, supply_air.dry_bulb, supply_air.humidity_ratio,
        return_air.pressure, outputs=4,
    )  # fmt: skip
    surface = None if surface_temperature is None else _number(as_inside(surface_temperature, "temperature"))
    return CoilPerformance(
        return_air, supply_air, status_of(codes), apparatus, by_enthalpy, by_dry_bulb, mass_flow, surface
    )
