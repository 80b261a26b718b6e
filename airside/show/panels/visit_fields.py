"""The fields of a visit's form, group by group, each with its unit and where its values usually lie.

The usual ranges are common practice without a source. They are shown, and limit nothing.
"""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from airside.errors import AirsideError
from airside.refrigerant.names import REFRIGERANTS, find_refrigerant
from airside.show.panels.fields import ChoiceField, DateField, Field, NumberField, TextField

HUMIDITIES = ("relative_humidity", "wet_bulb", "dew_point")
# Usual dry bulb, wet bulb and dew point [°C] and relative humidity [fraction] of return and supply air.
USUAL_AIR = {
    "return": {"dry_bulb": (20.0, 28.0), "relative_humidity": (0.35, 0.65), "wet_bulb": (13.0, 21.0), "dew_point": (6.0, 18.0)},
    "supply": {"dry_bulb": (10.0, 18.0), "relative_humidity": (0.7, 0.98), "wet_bulb": (9.0, 16.0), "dew_point": (8.0, 15.0)},
}  # fmt: skip


class RefrigerantField(ChoiceField):
    """A refrigerant's name; a file may write R410A where the list has R-410A."""

    def take(self, value: Any) -> None:
        """Show a name by the list's spelling; a name that is not known stays, and is said to be so."""
        with suppress(AirsideError):
            value = find_refrigerant(value or "").name
        super().take(value)


def visit_groups() -> dict[str, list[Field]]:
    """Fields of a visit by heading; those of the airflow's evidence are in `airflow_fields`."""
    return {
        "Visit": [
            TextField("name", "Name of the system and its condition", "Stands in every output",
                      placeholder="Clinic unit 2, before"),
            ChoiceField("mode", "Mode", "Cooling or heating", ["cooling", "heating"]),
            NumberField("system.nominal_capacity", "Nominal capacity", "From the nameplate; may stay empty",
                        "nominal_capacity", usual=(5000.0, 70_000.0)),
            NumberField("site.elevation", "Elevation", "Of the building; gives the pressure by the standard atmosphere",
                        "elevation", usual=(0.0, 2500.0)),
            NumberField("site.barometric_pressure", "or barometric pressure", "Read here; not the sea-level figure",
                        "barometric_pressure", usual=(75_000.0, 103_000.0)),
        ],
        "Return air": _air("return"),
        "Supply air": _air("supply"),
        "Airflow": [],
        "Outdoor air": [
            NumberField("readings.outdoor.dry_bulb", "Dry bulb, readings", "In the shade, at the outdoor coil's inlet",
                        "temperature", usual=(20.0, 40.0), many=True),
        ],
        "Fan heat": [
            NumberField("fan.power", "Fan power", "Electric power of the indoor fan; may stay empty", "power",
                        usual=(100.0, 1500.0), many=True),
            ChoiceField("fan.position", "Fan is", "Whether return and supply probe have the fan between them",
                        ["between probes", "outside probes"]),
        ],
        "Electric power": [
            NumberField("readings.power.total", "Whole system",
                        "At the disconnect; live: measured by a licensed person only. Or its parts below",
                        "power", usual=(1000.0, 15_000.0), many=True),
            NumberField("readings.power.outdoor_unit", "Outdoor unit", "Compressor and outdoor fan", "power",
                        usual=(800.0, 12_000.0), many=True),
            NumberField("readings.power.indoor_unit", "Indoor unit", "Indoor fan and controls", "power",
                        usual=(100.0, 1500.0), many=True),
        ],
        "Refrigerant side": _refrigerant(),
        "For the report": [
            DateField("date", "Date of the visit", "Year, month, day", placeholder="2026-07-14"),
            TextField("measured_by", "Measured by", "Stands in the report; may stay empty", placeholder="name"),
            TextField("customer", "Customer", "Who asked for it; may stay empty", placeholder="name"),
            TextField("site.name", "Site", "Name of the building; may stay empty", placeholder="Clinic"),
            TextField("site.address", "Address", "Of the building; may stay empty", placeholder="street and town"),
            TextField("work", "Work done before this visit", "Stands in the report; may stay empty",
                      placeholder="outdoor coil cleaned"),
            TextField("notes", "Notes", "Stand in the report; may stay empty", placeholder="what the figures do not say"),
        ],
    }  # fmt: skip


def _air(place: str) -> list[Field]:
    usual = USUAL_AIR[place]
    return [
        NumberField(f"readings.{place}.dry_bulb", "Dry bulb, readings", "In the order in which they were taken",
                    "temperature", usual=usual["dry_bulb"], many=True),
        ChoiceField(f"readings.{place}.humidity", "Humidity as", "What the probe shows", list(HUMIDITIES)),
        NumberField(f"readings.{place}.humidity_value", "Humidity, readings", "As many as dry bulbs",
                    "relative_humidity", usual=usual["relative_humidity"], many=True),
        TextField(f"readings.{place}.instrument", "Probe", "Its name; the same name in two visits is the same probe",
                  placeholder="probe_1" if place == "return" else "probe_2"),
    ]  # fmt: skip


def _refrigerant() -> list[Field]:
    line = "Clamp on a clean, insulated spot of the pipe"
    gauge = "Gauge pressure at the outdoor unit; only licensed people connect"
    return [
        RefrigerantField("system.refrigerant", "Refrigerant", "From the nameplate", list(REFRIGERANTS), empty=True,
                         free=True),
        ChoiceField("system.metering_device", "Metering device", "What feeds the indoor coil",
                    ["thermostatic valve", "electronic valve", "fixed orifice"], empty=True, free=True),
        NumberField("system.target_subcooling", "Target subcooling", "From the nameplate; may stay empty",
                    "temperature_difference", usual=(3.0, 10.0)),
        NumberField("readings.refrigerant.suction_pressure", "Suction pressure, readings", gauge,
                    "refrigerant_pressure", usual=(400e3, 1000e3), many=True),
        NumberField("readings.refrigerant.liquid_pressure", "Liquid pressure, readings", gauge,
                    "refrigerant_pressure", usual=(1500e3, 3200e3), many=True),
        NumberField("readings.refrigerant.suction_line_at_coil", "Suction line at the coil", line, "temperature",
                    usual=(5.0, 16.0), many=True),
        NumberField("readings.refrigerant.suction_line_at_outdoor_unit", "Suction line at the outdoor unit", line,
                    "temperature", usual=(6.0, 20.0), many=True),
        NumberField("readings.refrigerant.liquid_line", "Liquid line", line, "temperature", usual=(25.0, 48.0), many=True),
        NumberField("readings.refrigerant.discharge_line", "Discharge line", f"{line}; hot: do not touch", "temperature",
                    usual=(55.0, 95.0), many=True),
    ]  # fmt: skip
