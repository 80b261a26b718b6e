"""The same coil at another airflow, another return state, another capacity: what supply air it gives.

Kept from the measurement is the coil's effective surface, -ln(bypass factor) times dry air flow. At
another flow m the bypass factor is exp(-effective surface / m). Total capacity is the measured one
times a ratio that the caller gives, by a rating curve or a table. Then

- leaving enthalpy h2 = h1 - total / m; apparatus enthalpy h_adp = h1 - (h1 - h2) / (1 - bypass factor);
- the apparatus dew point is the saturated temperature of h_adp, and supply air lies on the line from
  return air to it, where its enthalpy is h2;
- sensible and latent are those of the two states, as in `airside.delivered_capacity`.

The EnergyPlus Engineering Reference instead takes the sensible heat ratio as
(h(t1, w_adp) - h_adp) / (h1 - h_adp), at most 1; along a straight line that is the same within some
thousandths. Taking the state on the line gives the measurement back exactly at the measured condition.

Where the apparatus dew point holds more water than the return air, the coil is dry, the sensible heat
ratio is 1, and capacity does not go with wet bulb any more. As in the Engineering Reference, a
capacity that is a function of return air is then taken at the return air of the same dry bulb that just
leaves the coil dry; that air is found by secants and bisection. A capacity given as a
number is taken as it is.

Where the straight line would end in fog, supply air is saturated air of the same enthalpy.

Sources
-------
EnergyPlus Engineering Reference, "Single-Speed DX Cooling Coil": bypass factor, dry coil conditions.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.air import properties
from airside.air.blocks import Array, Number, blockwise
from airside.air.coil import CoilPerformance, status_of
from airside.air.coil_saturation import SATURATED, moist_enthalpy, saturated_at_enthalpy, saturated_ratio
from airside.air.coil_status import Codes, CoilStatus, describe
from airside.air.constants import EVAPORATION_HEAT, SPECIFIC_HEAT_DRY_AIR, SPECIFIC_HEAT_VAPOUR
from airside.air.process import Capacity, delivered_capacity
from airside.air.state import ACCEPTED_DRY_BULB, MoistAir
from airside.results import Result, Row

# Total capacity over the measured one, from return air and dry air flow [kg/s].
CapacityRatio = Callable[[MoistAir, Number], Number]

# The dry coil's surface is found to this [K], in at most so many steps; the first is this part of the gap, turned round.
ENOUGH, MOST_STEPS, FIRST_STEP = 1e-8, 60, 1.3
COLDEST_SURFACE = ACCEPTED_DRY_BULB[0]


@dataclass(frozen=True, eq=False, repr=False)
class CoilPrediction(Result):
    """What the coil would do.

    Attributes
    ----------
    capacity : Capacity
        Total, sensible and latent between return and predicted supply air; NaN where `status` is
        neither WET nor DRY.
    status : CoilStatus or array of its codes
    apparatus_dew_point : float or array [°C]
        NaN for a dry coil.
    bypass_factor : float or array [fraction]
        By enthalpy, at the new flow.
    is_cut_at_saturation : bool or array of bool
        Whether the straight line would end in fog, so that supply air was taken as saturated.
    """

    capacity: Capacity
    status: CoilStatus | Codes
    apparatus_dew_point: Number
    bypass_factor: Number
    is_cut_at_saturation: Any
    title = "Predicted coil"

    @property
    def return_air(self) -> MoistAir:
        """Air that enters."""
        return self.capacity.return_air

    @property
    def supply_air(self) -> MoistAir:
        """Air that leaves."""
        return self.capacity.supply_air

    def rows(self) -> Iterable[Row]:
        """Capacity, supply air and coil."""
        supply = self.supply_air
        names = ("total", "sensible", "latent", "sensible_heat_ratio", "moisture_removal", "dry_air_mass_flow")
        return [
            *(r for r in self.capacity.rows() if r.name in names),
            Row("supply_dry_bulb", supply.dry_bulb, "temperature"),
            Row("supply_humidity_ratio", supply.humidity_ratio, "humidity_ratio"),
            Row("supply_relative_humidity", supply.relative_humidity, "relative_humidity"),
            Row("apparatus_dew_point", self.apparatus_dew_point, "temperature"),
            Row("bypass_factor", self.bypass_factor, "fraction"),
        ]

    def notes(self) -> Iterable[str]:
        """Wet or dry, and what was assumed."""
        found = [describe(self.status), "The coil's effective surface stays as it was measured."]
        if np.any(self.is_cut_at_saturation):
            found.append(
                "On a straight line the air would leave as fog: it is taken as saturated, at the same enthalpy."
            )
        with np.errstate(invalid="ignore"):
            if np.any(np.asarray(self.apparatus_dew_point) < 0):
                found.append("The apparatus dew point is below freezing: a real coil would frost, and lose airflow.")
        return found

    def to_dict(self) -> dict[str, Any]:
        """The numbers in SI, and ``status`` in words."""
        codes = np.asarray(self.status).reshape(-1)
        words = [CoilStatus(int(c)).words for c in codes]
        return {"status": words[0] if isinstance(self.status, CoilStatus) else words, **super().to_dict()}


def _wet(t1: Array, w1: Array, p: Array, flow: Array, total: Array, bypass: Array) -> tuple[Array, ...]:
    """Supply dry bulb and humidity ratio, apparatus dew point, status, cut at saturation: the coil taken as wet."""
    t1, w1, p, flow, total, bypass = np.broadcast_arrays(t1, w1, p, flow, total, bypass)
    h1 = moist_enthalpy(t1, w1)
    taken = total / flow
    status = np.full(t1.shape, float(CoilStatus.WET))
    apparatus = saturated_at_enthalpy(h1 - taken / (1 - bypass), p)
    held = saturated_ratio(apparatus, p)
    cooled, dried = t1 - apparatus, w1 - held
    # With s the part of the way: h(s) = h1 - a s + b s², and h(s) = h1 - taken.
    a = SPECIFIC_HEAT_DRY_AIR * cooled + dried * (EVAPORATION_HEAT + SPECIFIC_HEAT_VAPOUR * t1)
    a += SPECIFIC_HEAT_VAPOUR * w1 * cooled
    b = SPECIFIC_HEAT_VAPOUR * cooled * dried
    way = 2 * taken / (a + np.sqrt(a * a - 4 * b * taken))
    t2, w2 = t1 - way * cooled, w1 - way * dried
    fog = w2 > saturated_ratio(t2, p) * (1 + SATURATED)
    if fog.any():
        t2[fog] = saturated_at_enthalpy(h1[fog] - taken[fog], p[fog])
        w2[fog] = saturated_ratio(t2[fog], p[fog])
    status[dried < 0] = CoilStatus.DRY
    status[np.isnan(apparatus) | (apparatus < COLDEST_SURFACE)] = CoilStatus.TOO_COLD
    status[~((total > 0) & (flow > 0))] = CoilStatus.NO_CAPACITY
    status[np.isnan(bypass)] = CoilStatus.NOT_MEASURED
    status[np.isnan(t1 + w1 + p + flow + total)] = CoilStatus.UNKNOWN
    return t2, w2, apparatus, status, fog.astype(np.float64)


def predict_coil(
    measured: CoilPerformance,
    *,
    return_air: MoistAir | None = None,
    dry_air_mass_flow: Number | None = None,
    capacity_ratio: Number | CapacityRatio = 1.0,
) -> CoilPrediction:
    """What the measured coil would do under other conditions.

    Parameters
    ----------
    measured : CoilPerformance
        With its dry air flow; scalars or arrays that broadcast with the rest.
    return_air : MoistAir, optional
        Default: as measured.
    dry_air_mass_flow : float or array [kg/s], optional
        Default: as measured.
    capacity_ratio : float or array [fraction], or callable
        Total capacity there over the measured one. A function of (return air, dry air flow [kg/s]) is
        asked again for the dry coil.

    Returns
    -------
    CoilPrediction
        Where there is no answer, ``status`` says why and the numbers are NaN.

    Raises
    ------
    ValueError
        The measured performance has no flow.
    """
    if measured.dry_air_mass_flow is None:
        raise ValueError("predict_coil needs the flow of the measured coil: give flow to coil_performance")
    air = measured.return_air if return_air is None else return_air
    flow: Any = measured.dry_air_mass_flow if dry_air_mass_flow is None else dry_air_mass_flow
    had = np.asarray(measured.dry_air_mass_flow) * np.asarray(measured.enthalpy_difference)

    def total_at(state: MoistAir) -> Array:
        ratio = capacity_ratio(state, flow) if callable(capacity_ratio) else capacity_ratio
        return np.asarray(had * np.asarray(ratio), dtype=np.float64)

    with np.errstate(all="ignore"):
        same = np.divide(flow, measured.dry_air_mass_flow)
        # exp(-surface / m), written so that the measured flow gives the measured bypass factor.
        bypass: Any = np.power(np.asarray(measured.bypass_factor), 1 / same)
        total = total_at(air)
    t2, w2, apparatus, codes, fog = (
        np.asarray(v)
        for v in blockwise(
            _wet, air.dry_bulb, air.humidity_ratio, air.pressure, flow, total, bypass, outputs=5
        )
    )  # fmt: skip
    dry = codes == CoilStatus.DRY
    if dry.any():
        found = total if not callable(capacity_ratio) else _dry_total(air, flow, bypass, total_at, dry)
        heat = properties.specific_heat(air.humidity_ratio)
        sensible = np.asarray(air.dry_bulb) - found / (np.asarray(flow) * heat)
        held = np.broadcast_to(np.asarray(air.humidity_ratio, dtype=np.float64), t2.shape)
        t2, w2 = np.where(dry, sensible, t2), np.where(dry, held, w2)
        apparatus, fog = np.where(dry, np.nan, apparatus), np.where(dry, 0.0, fog)
        codes = np.where(dry & np.isnan(sensible), float(CoilStatus.NOT_CONVERGED), codes)
    nothing = codes > CoilStatus.DRY
    t2, w2, apparatus = (np.where(nothing, np.nan, v) for v in (t2, w2, apparatus))
    supply = MoistAir(_plain(t2), _plain(w2), air.pressure)
    cut = (fog > 0) & ~nothing
    return CoilPrediction(
        delivered_capacity(air, supply, flow), status_of(_plain(codes)), _plain(apparatus), _plain(bypass),
        bool(cut) if cut.ndim == 0 else cut,
    )  # fmt: skip


def _plain(value: Any) -> Number:
    array = np.asarray(value, dtype=np.float64)
    return float(array) if array.ndim == 0 else array


def _dry_total(air: MoistAir, flow: Number, bypass: Any, total_at: Callable[[MoistAir], Array], dry: Any) -> Array:
    """Capacity [W] of a dry coil, at the return air of the same dry bulb that would just leave it dry.

    Solved for the surface temperature x: x = t1 - total / (m (1 - bypass factor) c), with return air of
    the dew point x. Secants, kept between the measured dew point and the dry bulb by bisection. NaN where
    it is not found.
    """
    shape = dry.shape
    t1, p, m, past = (
        np.broadcast_to(np.asarray(v, dtype=np.float64), shape) for v in (air.dry_bulb, air.pressure, flow, bypass)
    )

    def gap(surface: Array) -> tuple[Array, Array]:
        # Elements that are not dry go along at a surface of their own, unused.
        w = np.asarray(properties.saturation_humidity_ratio(_plain(np.minimum(surface, t1)), _plain(p)))
        total = np.broadcast_to(total_at(MoistAir(_plain(t1), _plain(w), _plain(p))), shape)
        heat = SPECIFIC_HEAT_DRY_AIR + SPECIFIC_HEAT_VAPOUR * w
        return t1 - total / (m * (1 - past) * heat) - surface, total

    with np.errstate(all="ignore"):
        dew = np.asarray(air.dew_point)
        low = np.broadcast_to(np.where(np.isnan(dew), COLDEST_SURFACE, np.maximum(dew, COLDEST_SURFACE)), shape)
        high = t1
        last = low
        at_last, total = gap(low)
        # The return air itself may be the one that just leaves the coil dry.
        is_found = dry & (np.abs(at_last) <= ENOUGH)
        is_open = dry & ~is_found & (at_last > 0)
        # Capacity rises with the surface temperature by some tenths of a full step.
        x = np.minimum(last + at_last / FIRST_STEP, high)
        for _ in range(MOST_STEPS):
            if not is_open.any():
                break
            at, there = gap(x)
            total = np.where(is_open, there, total)
            is_found |= is_open & (np.abs(at) <= ENOUGH)
            is_open &= ~is_found & np.isfinite(at)
            low, high = np.where(at > 0, x, low), np.where(at > 0, high, x)
            following = x - at * (x - last) / (at - at_last)
            last, at_last = x, at
            x = np.where((following > low) & (following < high), following, (low + high) / 2)
    return np.where(is_found, total, np.nan)
