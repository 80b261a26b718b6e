"""Long run: two periods of logged data, and whether what the baseline predicts changed between them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape
from pathlib import Path
from typing import Any, cast

import ipywidgets as widgets

from airside.compare.baseline import WORDS
from airside.compare.long_run import long_run
from airside.compare.long_run_result import LongRun
from airside.compare.period_guards import WEIGHTY
from airside.compare.periods import TERMS, Period
from airside.compare.season import Bins, Price, price_of, read_bins
from airside.errors import AirsideError, ComparisonError
from airside.show.long_run import long_run_chart
from airside.show.panels.fields import TextField
from airside.show.panels.fold import Fold
from airside.show.panels.frame import Shown, whole, with_interval
from airside.show.panels.logged_form import file_seen_from
from airside.show.panels.long_run_tables import baseline_table, doubt_table, season_table
from airside.show.panels.panel import Panel
from airside.show.panels.period_form import PeriodForm
from airside.show.panels.shared import name_box, plain_layout
from airside.show.panels.ticks import Tick
from airside.show.panels.visit_form import VisitForm, get, put
from airside.units import percent
from airside.visit.write import logged_visit_text

TICK = "What changes with it is then part of the change; leave out the airflow where the work changed it"
BASELINE, SEASON, DOUBT = (
    "Baseline and its ranges",
    "The season by temperature bins",
    "Parts of the doubt, and the days",
)


class LongRunPanel(Panel):
    """Panel for two long periods of logged data.

    Parameters
    ----------
    before, after : str or Path, optional
        Visit files that name logger files, or folders of them.

    Attributes
    ----------
    found : LongRun or None
        The last good result.
    """

    title = "Long run"
    key = "long_run"
    names = ("before", "after")

    def __init__(self, before: str | Path | None = None, after: str | Path | None = None) -> None:
        super().__init__()
        self.found: LongRun | None = None
        self.periods = {name: PeriodForm(name) for name in self.names}
        # They have what a panel asks of a form.
        self.forms = {name: cast(VisitForm, period) for name, period in self.periods.items()}
        # Outdoors, return and airflow, in the order of the terms; the return's are wet bulb, in heating dry bulb.
        self.ticks = {key: Tick(WORDS[term], TICK) for key, term in _terms("cooling").items()}
        self.bins = TextField(
            "bins", "Bins of a season", "Name of a CSV or TOML file with hours of running at outdoor dry bulbs, seen from the notebook's folder",
            placeholder="season.csv",
        )  # fmt: skip
        self.price = TextField(
            "price", "Price of a kWh", "Price of electric energy with its currency; it goes with a season's bins", placeholder="0.18 EUR"
        )  # fmt: skip
        self.settings = {**self.ticks, "bins": self.bins, "price": self.price}
        self.left_out = _box()
        model = Fold(
            "Left out of the baseline", [*(t.widget for t in self.ticks.values()), self.left_out], is_open=True
        )
        season = Fold("Season", [self.bins.widget, self.price.widget], is_open=True)
        self.build([model.widget, season.widget])
        for name, box in self.files.names.items():
            name_box(
                box, f"{name.capitalize()} file",
                "Name of a visit file that names logger files, or of a folder of such files, seen from the notebook's folder",
            )  # fmt: skip
            box.placeholder = f"{name}.toml, or a folder"
        self.tables = {heading: _box() for heading in (BASELINE, SEASON, DOUBT)}
        right = self.frame.widget.children[0].children[1]
        right.children = (*right.children, *(Fold(h, [table]).widget for h, table in self.tables.items()))
        self.start(before, after)

    # -- result ---------------------------------------------------------------------------------

    @property
    def mode(self) -> str:
        """Of the periods."""
        period = self.periods["before"].period
        return "cooling" if period is None else period.mode

    @property
    def without(self) -> tuple[str, ...]:
        """Conditions that are ticked, as `long_run` names them."""
        return tuple(term for key, term in _terms(self.mode).items() if self.ticks[key].value())

    def blank_sentence(self) -> str:
        """What to do first."""
        blank = [name for name, period in self.periods.items() if period.is_blank]
        if not blank:
            return ""
        return f"Load the {' and the '.join(blank)} period below: a visit file that names logger files, or a folder of them."

    def find(self, *, is_draft: bool) -> Shown:
        """The comparison with the settings as they stand."""
        for key, term in _terms(self.mode).items():
            name_box(self.ticks[key].box, WORDS[term], TICK)
        bins, price = self._season()
        one, other = (cast(Period, self.periods[name].period) for name in self.names)
        found = long_run(one, other, without=self.without, bins=bins, price=price, units=self.units)
        self.found = found
        self.left_out.value = _small([*found.baselines["total"].terms.left_out.values()])
        parts = (baseline_table(found, self.units), season_table(found, self.units), doubt_table(found))
        for table, html in zip(self.tables.values(), parts, strict=True):
            table.value = html
        # What may undo the verdict comes first.
        warnings = sorted(found.warnings, key=lambda w: w.code not in WEIGHTY)
        figure = long_run_chart(found, units=self.units, theme=self.theme, with_verdict=False)
        # What the other folds say is not said twice.
        told = {*found.basis_sentences(self.units), *found.season_sentences()}
        rest = [s for s in found.assumptions(self.units) if s not in told]
        return Shown(f"<b>{whole(found.verdict)}</b>", self._figures(found), figure, warnings, rest)

    def _season(self) -> tuple[Bins | None, Price | None]:
        """Bins and price; what is wrong with them is marked.

        Raises
        ------
        AirsideError
        """
        bins: Bins | None = None
        price: Price | None = None
        for field in (self.bins, self.price):
            try:
                text = field.value()
                if text is None:
                    continue
                if field is self.bins:
                    bins = read_bins(text)
                    continue
                price = price_of(text)
                if self.bins.value() is None:
                    field.say("A price goes with a season. Name a file of bins above, or leave the price out.")
            except AirsideError as error:
                field.say(str(error))
        if self.bins.said or self.price.said:
            raise AirsideError("Something on the left is missing or wrong; it is marked there.")
        return bins, price

    def _figures(self, found: LongRun) -> list[tuple[str, ...]]:
        rows = {r.name: r for r in found.rows()}
        titles = {
            "change_total": "Change in total capacity", "change_power": "Change in power",
            "change_efficiency": "Change in efficiency", "energy_saved": "Energy saved for the same heat",
        }  # fmt: skip
        figures: list[tuple[str, ...]] = [
            with_interval(title, rows[name], self.units) for name, title in titles.items() if name in rows
        ]
        saved, ends = found.cost("energy_saved"), found.cost_interval("energy_saved")
        if saved is not None and ends is not None and found.season is not None and found.season.price is not None:
            price = found.season.price
            figures.append(
                ("Cost saved for the same heat", price.text(saved), f"{ends[0]:,.2f} to {price.text(ends[1])}")
            )
        base, apart = found.baselines["total"], found.set_apart
        used = len(found.after) - apart
        return [
            *figures,
            ("R² of the baseline", f"{base.r_squared:.2f}"),
            ("CV(RMSE)", percent(base.cv_rmse, 1)),
            ("NMBE", percent(base.nmbe, 1)),
            ("Stretches before", f"{len(found.before):,}", f"{len(found.before.days):,} days"),
            ("Stretches after, used", f"{used:,}", f"{apart:,} set apart"),
            ("Smallest change that could be seen", percent(found.smallest_detectable_ratio, 1)),
        ]

    def mark(self, error: AirsideError) -> str:
        """The sentence, without what it says of the command line's options."""
        said = re.sub(r" \(--[^)]*\)", "", str(error))
        return said[:1].upper() + said[1:] if isinstance(error, ComparisonError) else said

    def picture(self) -> Any:
        """The picture with the verdict."""
        assert self.found is not None
        return long_run_chart(self.found, units=self.units, theme=self.theme)

    def report(self, form: str) -> bytes:
        """The report on both periods, with the settings as they stand."""
        from airside.show.report.long_run_page import long_run_report

        assert self.found is not None
        return long_run_report(self.found, form=form, units=self.units)

    # -- files ----------------------------------------------------------------------------------

    def loaded(self, name: str) -> None:
        """Begin with the settings of a before period that has come in."""
        if name != "before":
            return
        self._begin_settings()
        super().loaded(name)
        bins = self.bins.value()
        if bins is not None:
            self.bins.take(file_seen_from(bins, self.periods[name].folder, Path()))

    def _begin_settings(self) -> None:
        for tick in self.ticks.values():
            tick.take(False)
        for field in (self.bins, self.price):
            field.take(None)

    def clear(self) -> None:
        """Empty the panel; files stay as they are."""
        self.found = None
        self._quiet = True
        self._begin_settings()
        for box in (self.left_out, *self.tables.values()):
            box.value = ""
        super().clear()

    def saved_data(self, name: str, folder: Path) -> dict[str, Any]:
        """The period's first visit file as it came; with the before period the settings."""
        data = super().saved_data(name, folder)
        bins = get(data, f"panel.{self.key}.bins")
        if bins is not None:
            put(data, f"panel.{self.key}.bins", file_seen_from(bins, Path.cwd(), folder))
        return data

    def save(self, file: str | Path, name: str | None = None, *, replace: bool = False) -> Path:
        """Write a period's first visit file; logger files stay where they are.

        Raises
        ------
        VisitError, OutputError
            Nothing is loaded, a folder's settings go into another file than its first one, or the file exists.
        """
        which = name or self.names[0]
        log = self.periods[which].log_to_save(Path(file))
        data = self.saved_data(which, Path(file).resolve().parent)
        return self._write(file, logged_visit_text(data, log, path=Path(file)), replace)


def _terms(mode: str) -> dict[str, str]:
    """Condition of each tick."""
    outdoor, back, flow = TERMS[mode]
    return {"without_outdoor": outdoor, "without_return": back, "without_airflow": flow}


def _box() -> Any:
    made = widgets.HTML(layout=plain_layout())
    made.add_class("airside-box")
    return made


def _small(sentences: Sequence[str]) -> str:
    return "".join(f'<div class="airside-small">{escape(s)}</div>' for s in sentences)
