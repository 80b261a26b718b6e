"""Options that bring two visits to the same conditions: of `airside compare` and of `airside report`."""

from __future__ import annotations

from typing import Annotated, Any

import typer

CONDITIONS = "Conditions for both: before, after, A or B (10 CFR 430 cooling), H1 (heating), or stated."
SAME_FLOW = "Bring a change of airflow to one flow too; leave out if the work changed it."
ReferenceOption = Annotated[str, typer.Option("--reference", help=CONDITIONS)]
WetBulbOption = Annotated[str | None, typer.Option("--return-wet-bulb", help='For stated, such as "67 degF".')]
DryBulbOption = Annotated[str | None, typer.Option("--return-dry-bulb", help='For stated, in heating: "70 degF".')]
OutdoorOption = Annotated[str | None, typer.Option("--outdoor-dry-bulb", help='For stated, such as "95 degF".')]
SameFlowOption = Annotated[bool, typer.Option("--same-flow", help=SAME_FLOW)]


def stated_reference(reference: str, mode: str, wet_bulb: str | None, dry_bulb: str | None, outdoor: str | None) -> Any:
    """A reference by name, or stated conditions."""
    from airside.compare.reference import Conditions
    from airside.errors import ComparisonError, UnitError
    from airside.units import parse

    option, other = "--return-wet-bulb", "--return-dry-bulb"
    indoor, useless = wet_bulb, dry_bulb
    if mode == "heating":
        option, other, indoor, useless = other, option, dry_bulb, wet_bulb
    if useless is not None:
        raise ComparisonError(f"{other} is not used in {mode}; give {option} with --reference stated.")
    if reference != "stated":
        if indoor is not None or outdoor is not None:
            raise ComparisonError(
                f"{option} and --outdoor-dry-bulb go with --reference stated. Add it, or leave them out."
            )
        return reference
    if indoor is None or outdoor is None:
        raise ComparisonError(f"--reference stated needs {option} and --outdoor-dry-bulb.")
    values = []
    for name, text in ((option, indoor), ("--outdoor-dry-bulb", outdoor)):
        try:
            values.append(parse(text, "temperature"))
        except UnitError as error:
            raise UnitError(f"{name}: {error}") from None
    return Conditions("stated conditions", values[0], values[1])
