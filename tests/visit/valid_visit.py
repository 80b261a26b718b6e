"""A valid visit to change, and a fan table beside it."""

VALID = """\
format = "airside visit 1"
units = "IP"
name = "Test unit"
mode = "cooling"

[site]
elevation = 650

[system]
nominal_capacity = 3

[airflow]
method = "measured"
volume_flow = [1180]
basis = "actual"

[instruments.probe_1]
dry_bulb = { accuracy = 0.9, resolution = 0.1 }

[readings.return]
instrument = "probe_1"
dry_bulb = [75.2, 75.3, 75.1]
relative_humidity = [50.2, 50.0, 50.3]

[readings.supply]
dry_bulb = [56.4, 56.3, 56.5]
relative_humidity = [88.0, 88.3, 88.1]

[readings.outdoor]
dry_bulb = [88.0]
"""

# Codes of the warnings that airside.visit.plausibility gives; others come from steadiness and instruments.
PLAUSIBILITY = {
    "few_readings", "wide_readings", "return_temperature", "unequal_lengths",
    "pressure_against_elevation", "airflow_evidence", "supply_against_mode", "supply_wetter", "flow_per_capacity",
    "capacity_against_nominal",
}  # fmt: skip


def unlikely(result) -> list[str]:
    """Codes of the plausibility warnings of a result."""
    return [w.code for w in result.warnings if w.code in PLAUSIBILITY]


FAN_TABLE = """\
# A comment.
static pressure [inH2O],low [cfm],high [cfm]
0.2,1000,1400
0.4,950,1300
0.6,,1150
"""


def changed(*changes: tuple[str, str]) -> str:
    """The valid visit with words replaced; each must stand in it."""
    text = VALID
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


AIRFLOW = VALID[VALID.index("[airflow]") : VALID.index("[instruments")]


def with_airflow(lines: str) -> tuple[str, str]:
    """The change that puts other fields into the airflow table."""
    return AIRFLOW, f"[airflow]\n{lines}\n\n"
