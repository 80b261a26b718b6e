"""The fields of each airflow method, as the visit file names them."""

from __future__ import annotations

from airside.show.panels.fields import ChoiceField, Field, NumberField, TextField


def airflow_fields() -> dict[str, list[Field]]:
    """Fields by method, each path below ``airflow``."""
    return {
        "fan table": [
            TextField("airflow.table", "Fan table (CSV file)", "Named relative to the visit file's folder",
                      placeholder="fan_table.csv"),
            TextField("airflow.speed", "Speed (column of the table)", "As the table's head names it",
                      placeholder="medium"),
            NumberField("airflow.external_static_pressure", "External static pressure",
                        "Supply plenum less return plenum, several readings", "duct_pressure", many=True, usual=(75.0, 250.0)),
        ],
        "measured": [
            NumberField("airflow.volume_flow", "Measured flow", "Flow hood, grid, nozzle or station", "volume_flow",
                        many=True, usual=(0.2, 1.5)),
            ChoiceField("airflow.basis", "Basis", "standard: the instrument shows air of 0.075 lb/ft³",
                        ["actual", "standard"]),
        ],
        "traverse": [
            ChoiceField("airflow.shape", "Duct", "Inside shape at the traverse", ["rectangular", "round"]),
            NumberField("airflow.width", "Width, inside", "Rectangular duct", "duct_side", usual=(0.2, 0.8)),
            NumberField("airflow.height", "Height, inside", "Rectangular duct", "duct_side", usual=(0.2, 0.6)),
            NumberField("airflow.diameter", "Diameter, inside", "Round duct", "duct_side", usual=(0.2, 0.6)),
            NumberField("airflow.velocity", "Velocities, one a point", "At the log-Tchebycheff or log-linear points",
                        "velocity", many=True, rows=4, usual=(2.0, 6.0)),
            NumberField("airflow.velocity_pressure", "or velocity pressures", "Pitot tube, one a point",
                        "duct_pressure", many=True, rows=2, usual=(2.0, 25.0)),
        ],
        "temperature rise": [
            NumberField("airflow.heat_input", "Heat input", "Measured electric heat; or give volts and amps", "power",
                        many=True, usual=(3000.0, 20_000.0)),
            NumberField("airflow.voltage", "Voltage", "At the heater; live: measured by a licensed person only",
                        "voltage", many=True, usual=(200.0, 250.0)),
            NumberField("airflow.current", "Current", "Of the heater", "current", many=True, usual=(10.0, 80.0)),
            NumberField("airflow.fuel_input", "Fuel input", "Clocked at the meter, higher heating value", "power",
                        many=True, usual=(10_000.0, 40_000.0)),
            NumberField("airflow.efficiency", "Efficiency of the furnace, a fraction", "Such as 0.80; from its plate or a combustion test", "fraction", usual=(0.78, 0.97)),
            NumberField("airflow.temperature_rise", "Temperature rise", "Supply less return, in mixed air",
                        "temperature_difference", many=True, usual=(15.0, 35.0)),
        ],
        "pressure match": [
            NumberField("airflow.device_flow", "Flow through the device", "Calibrated plate or fan", "volume_flow",
                        many=True, usual=(0.2, 1.0)),
            NumberField("airflow.normal_static_pressure", "Supply static without the device", "In the supply plenum, the device not in place", "duct_pressure",
                        many=True, usual=(20.0, 125.0)),
            NumberField("airflow.device_static_pressure", "Supply static with the device", "At the same spot, the device in place", "duct_pressure",
                        many=True, usual=(20.0, 125.0)),
            ChoiceField("airflow.basis", "Flow of the device is", "indicated: read off the device, made for standard air",
                        ["actual", "indicated"]),
        ],
        "coil pressure drop": [
            TextField("airflow.table", "Coil table (CSV file)", "Named relative to the visit file's folder",
                      placeholder="coil_table.csv"),
            ChoiceField("airflow.coil", "Coil", "Column of the table", ["wet", "dry"]),
            NumberField("airflow.pressure_drop", "Pressure drop over the coil", "Across the indoor coil, several readings", "duct_pressure", many=True, usual=(30.0, 125.0)),
        ],
        "rule of thumb": [
            NumberField("airflow.flow_per_capacity", "Flow per nominal capacity",
                        "A customary figure; needs the nominal capacity", "flow_per_capacity", usual=(4.7e-5, 6.04e-5)),
        ],
    }  # fmt: skip
