"""How much air: one module for each kind of evidence, each returning an `Airflow`."""

from airside.airflow.coil_pressure_drop import coil_pressure_drop
from airside.airflow.fan_table import fan_table
from airside.airflow.measured import measured
from airside.airflow.pressure_match import pressure_match
from airside.airflow.result import STANDARD_DENSITY, Airflow
from airside.airflow.rule_of_thumb import rule_of_thumb
from airside.airflow.temperature_rise import heat_to_air, temperature_rise
from airside.airflow.traverse import traverse

# The methods hang on the class here, because each module needs the class first.
Airflow.measured = staticmethod(measured)
Airflow.fan_table = staticmethod(fan_table)
Airflow.traverse = staticmethod(traverse)
Airflow.temperature_rise = staticmethod(temperature_rise)
Airflow.pressure_match = staticmethod(pressure_match)
Airflow.coil_pressure_drop = staticmethod(coil_pressure_drop)
Airflow.rule_of_thumb = staticmethod(rule_of_thumb)

__all__ = ["STANDARD_DENSITY", "Airflow", "heat_to_air"]
