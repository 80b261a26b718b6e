"""Which steady stretch of a log stands for a visit: what the visit knows of it beside its readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class StretchRecord:
    """One stretch of a logged visit. Not part of the visit file.

    Attributes
    ----------
    number, count : int
        Counted from 1, and how many stretches there are.
    begin, end : str
        On the wall's clock, ``2021-08-26 13:05:00``.
    run_length : float [s]
    stage : str
        In words; empty where it is not known.
    step : float [s]
        Between two rows.
    rows : int
        Rows of the log, used or not.
    set_aside : mapping of str to int
        Rows in no stretch, by reason.
    standard_errors : mapping of str to (float, float)
        Standard error of the mean [inside unit] and its degrees of freedom for each input's list of readings, with
        autocorrelation; by the entries of `airside.visit.reading_errors.VisitErrors`.
    notes : tuple of str
        How running and stage were found, and what else is assumed.
    warnings : tuple of str
        What makes the log weaker than it looks, such as clocks that differ.
    """

    number: int
    count: int
    begin: str
    end: str
    run_length: float
    stage: str
    step: float
    rows: int
    set_aside: Mapping[str, int]
    standard_errors: Mapping[str, tuple[float, float]]
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def unit(self) -> str:
        """What one row is."""
        return "minutes" if self.step == 60 else f"rows of {self.step:g} s"

    @property
    def place(self) -> str:
        """Number and times in words: ``stretch 3 of 7, 2021-08-26 13:05 to 13:20``."""
        day, first = self.begin.split(" ")
        last_day, last = self.end.split(" ")
        short = first.endswith(":00") and last.endswith(":00")
        ends = [t[:5] if short else t for t in (first, last)]
        return f"stretch {self.number} of {self.count}, {day} {ends[0]} to {'' if last_day == day else f'{last_day} '}{ends[1]}"

    @property
    def sentence(self) -> str:
        """The stretch, its run, and every row that is in no stretch, by reason."""
        not_used = sum(self.set_aside.values())
        reasons = ", ".join(f"{count:,} {name}" for name, count in self.set_aside.items())
        stage = f", {self.stage}" if self.stage else ""
        return (
            f"Logged: {self.place}, run of {self.run_length / 60:.0f} min{stage}; {not_used:,} of {self.rows:,} {self.unit} "
            f"are in no stretch: {reasons}."
        )

    @property
    def sentences(self) -> tuple[str, ...]:
        """What a result assumes because its readings are logged."""
        return (
            self.sentence,
            *self.notes,
            "Scatter of logged readings: about a smooth curve through the stretch, with the autocorrelation that all stretches "
            "show together (Bayley and Hammersley 1946).",
        )
