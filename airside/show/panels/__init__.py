"""Widget panels for Jupyter: thin over the library, with no computation of their own."""

from airside.show.panels.airflow_evidence import AirflowEvidence
from airside.show.panels.before_after import BeforeAfter
from airside.show.panels.coil import CoilPanel
from airside.show.panels.field_sheet import FieldSheet
from airside.show.panels.logged_data import LoggedData
from airside.show.panels.long_run import LongRunPanel
from airside.show.panels.planning import PlanningPanel
from airside.show.panels.refrigerant import RefrigerantPanel
from airside.show.panels.side_by_side import SideBySideCheck

__all__ = [
    "AirflowEvidence",
    "BeforeAfter",
    "CoilPanel",
    "FieldSheet",
    "LoggedData",
    "LongRunPanel",
    "PlanningPanel",
    "RefrigerantPanel",
    "SideBySideCheck",
]
