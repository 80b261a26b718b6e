"""The fields of each airflow method, as the visit file names them."""

from __future__ import annotations

from airside.show.panels.fields import ChoiceField, Field, NumberField, TextField


def airflow_fields() -> dict[str, list[Field]]:
    """Fields by method, each path below ``airflow``."""
    static = "inches of water or pascals; typical external static is 0.3 to 1.0 inH2O (75 to 250 Pa)"
    return {
        "fan table": [
            TextField("airflow.table", "Fan table (CSV file)", "Named relative to the visit file's folder",
                      placeholder="fan_table.csv"),
            TextField("airflow.speed", "Speed (column of the table)", "As the table's head names it",
                      placeholder="medium"),
            NumberField("airflow.external_static_pressure", "External static pressure",
                        f"Supply plenum less return plenum, several readings: {static}", "duct_pressure", many=True),
        ],
        "measured": [
            NumberField("airflow.volume_flow", "Measured flow", "Flow hood, grid, nozzle or station", "volume_flow",
                        many=True),
            ChoiceField("airflow.basis", "Basis", "standard: the instrument shows air of 0.075 lb/ft³",
                        ["actual", "standard"]),
        ],
        "traverse": [
            ChoiceField("airflow.shape", "Duct", "Inside shape at the traverse", ["rectangular", "round"]),
            NumberField("airflow.width", "Width, inside", "Rectangular duct", "duct_side"),
            NumberField("airflow.height", "Height, inside", "Rectangular duct", "duct_side"),
            NumberField("airflow.diameter", "Diameter, inside", "Round duct", "duct_side"),
            NumberField("airflow.velocity", "Velocities, one a point", "At the log-Tchebycheff or log-linear points",
                        "velocity", many=True, rows=4),
            NumberField("airflow.velocity_pressure", "or velocity pressures", "Pitot tube, one a point",
                        "duct_pressure", many=True, rows=2),
        ],
        "temperature rise": [
            NumberField("airflow.heat_input", "Heat input", "Measured electric heat; or give volts and amps", "power",
                        many=True),
            NumberField("airflow.voltage", "Voltage", "At the heater; live: measured by a licensed person only",
                        "voltage", many=True),
            NumberField("airflow.current", "Current", "Of the heater", "current", many=True),
            NumberField("airflow.fuel_input", "Fuel input", "Clocked at the meter, higher heating value", "power",
                        many=True),
            NumberField("airflow.efficiency", "Efficiency of the furnace, a fraction", "Such as 0.80; from its plate or a combustion test", "fraction"),
            NumberField("airflow.temperature_rise", "Temperature rise", "Supply less return, in mixed air",
                        "temperature_difference", many=True),
        ],
        "pressure match": [
            NumberField("airflow.device_flow", "Flow through the device", "Calibrated plate or fan", "volume_flow",
                        many=True),
            NumberField("airflow.normal_static_pressure", "Supply static without the device", static, "duct_pressure",
                        many=True),
            NumberField("airflow.device_static_pressure", "Supply static with the device", static, "duct_pressure",
                        many=True),
            ChoiceField("airflow.basis", "Flow of the device is", "indicated: read off the device, made for standard air",
                        ["actual", "indicated"]),
        ],
        "coil pressure drop": [
            TextField("airflow.table", "Coil table (CSV file)", "Named relative to the visit file's folder",
                      placeholder="coil_table.csv"),
            ChoiceField("airflow.coil", "Coil", "Column of the table", ["wet", "dry"]),
            NumberField("airflow.pressure_drop", "Pressure drop over the coil", static, "duct_pressure", many=True),
        ],
        "rule of thumb": [
            NumberField("airflow.flow_per_capacity", "Flow per nominal capacity",
                        "Customary 350 to 450 cfm per ton; needs the nominal capacity", "flow_per_capacity"),
        ],
    }  # fmt: skip
