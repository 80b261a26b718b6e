"""The report says what the library computes, leaves lines for what is not known, and comes out the same each time."""

from __future__ import annotations

import hashlib
import re
import shutil
import tomllib
from datetime import UTC, datetime
from pathlib import Path

import pytest
import report_page
from report_page import plain

import airside
from airside.cautions import CAUTIONS, PRECEDENCE
from airside.compare.moved import moved_rows
from airside.compare.reference import Conditions
from airside.compare.result import figure_cells
from airside.errors import AirsideError, ComparisonError
from airside.show.report import report_bytes, report_html
from airside.show.report.sizes import error_text
from airside.show.report.wording import gathered, in_words, merged, with_minus
from airside.units import percent, show
from airside.visit.load import load_visit, parse_visit, visit_from_data
from airside.visit.schema import Visit

DATA = Path(__file__).parents[2] / "data"
FEW = {"count": 4000, "seed": 3}
STAMP = {"time_stamp": "2026-11-24 10:00"}
PAIRS = ("reading_room", "bakery")


class Page(report_page.Page):
    """A report with its minus signs as the library writes them; another test looks at the signs themselves."""

    def handle_data(self, data):
        super().handle_data(data.replace("\N{MINUS SIGN}", "-"))


def demo(pair, which):
    return load_visit(DATA / pair / f"{which}.toml")


@pytest.fixture(scope="module")
def changes():
    return {p: airside.compare(demo(p, "before"), demo(p, "after"), **FEW) for p in PAIRS}


@pytest.fixture(scope="module")
def pages(changes):
    return {p: Page(report_html(c, **STAMP)) for p, c in changes.items()}


@pytest.fixture(scope="module")
def single():
    result = airside.analyse(demo("reading_room", "before"), **FEW)
    return result, Page(report_html(result, **STAMP))


def in_heating(text):
    """A demo visit made into one of a heat pump in heating, with the readings of heating."""
    lists = {
        ("return", "dry_bulb"): "[70, 70, 70, 71, 70]", ("return", "relative_humidity"): "[35, 35, 36, 35, 35]",
        ("supply", "dry_bulb"): "[98, 98, 99, 98, 98]", ("supply", "relative_humidity"): "[14, 14, 14, 14, 14]",
        ("outdoor", "dry_bulb"): "[45, 45, 46, 45, 45]",
    }  # fmt: skip
    text = text[: text.index("[readings.power]")].replace('mode = "cooling"', 'mode = "heating"')
    text = text.replace("[system]", '[system]\nequipment = "heat pump"')
    for (place, name), values in lists.items():
        text = re.sub(
            rf"(\[readings\.{place}\]\n.*?^{name} = )\[[^\]]*\]", rf"\g<1>{values}", text, count=1, flags=re.M | re.S
        )
    return text


def bare(**more):
    """A visit with nothing that may be left out."""
    return visit_from_data({
        "format": "airside visit 1", "units": "SI", "name": "bare", "mode": "cooling", "site": {"elevation": 200},
        "airflow": {"method": "measured", "basis": "actual", "volume_flow": 500},
        "readings": {"return": {"dry_bulb": 25.0, "relative_humidity": 50.0},
                     "supply": {"dry_bulb": 14.0, "relative_humidity": 88.0}},
        **more,
    })  # fmt: skip


# -- what two visits say ------------------------------------------------------------------------------


@pytest.mark.parametrize("name", PAIRS)
def test_the_verdict_is_the_librarys(changes, pages, name):
    change, page = changes[name], pages[name]
    assert change.verdict in page.words["p"]
    text = page.text
    assert f"Probability that total capacity rose: {percent(change.probability_of_increase, 1)}." in text
    assert f"(5 % level, 80 % power): {percent(change.smallest_detectable_ratio, 1)}." in text
    assert change.cancelled in page.words["li"]


@pytest.mark.parametrize("name", PAIRS)
@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_change_and_its_intervals_are_the_librarys(changes, name, units):
    change = changes[name]
    page = Page(report_html(change, units=units, **STAMP))
    for heading, figures in change.groups(units):
        table = page.table(heading)
        assert [r for r in table.rows[1:]] == [[plain(c) for c in figure_cells(f, units)] for f in figures]
    moved = page.table("How the coil, the refrigerant side and the expectation moved")
    assert moved.rows[1:] == [[plain(c) for c in row.cells(units)] for row in moved_rows(change)]
    total = page.table("Delivered cooling capacity").row("Total capacity")
    for at, doubt in zip((0, 2), (change.before, change.after), strict=True):
        found = doubt.estimate("total")
        low, high = (show(v, "capacity", units, unit=i == 1) for i, v in enumerate(found.interval_95))
        assert total[at : at + 2] == [show(found.value, "capacity", units), f"{low} to {high}"]


@pytest.mark.parametrize("name", PAIRS)
def test_every_assumption_and_every_warning_stands(changes, pages, name):
    change, page = changes[name], pages[name]
    listed = [t.removeprefix("Before: ").removeprefix("After: ") for t in page.words["li"]]
    assert not change.all_warnings()
    assumed = [s for d in (change.before, change.after) for s in airside.analyse(d.visit, **FEW).assumptions]
    for sentence in (*change.assumptions(), *assumed, *CAUTIONS, PRECEDENCE):
        share = re.fullmatch(
            r"Of the variance of (.+) accuracy, (.+ %) comes anew with each visit \((.+)\)\.", sentence
        )
        if plain(sentence) in listed:
            # Once, in its section or in the list: not in both.
            assert page.words["li"].count(plain(sentence)) <= 1, sentence
        else:
            # Sentences that differ only in the quantity are one, which says each quantity, its part and the source.
            assert share is not None, sentence
            quantity, part, source = share.groups()
            (one,) = [t for t in listed if t.startswith("Of the variance of an accuracy") and f"{quantity} {part}" in t]
            assert all(words in one for words in source.split("; ")), sentence


def test_the_budget_is_the_librarys_and_adds_up(changes, pages):
    change = changes["reading_room"]
    rows = [r for r in change.budgets[change.basis] if r.share > 1e-6]
    table = pages["reading_room"].table(
        "Named errors and their share of the variance of the relative change at the same"
    )
    shown = [tuple(r[:4]) for r in table.rows[1:-1]]
    assert shown == [
        (plain(r.error.name), r.error.kind, error_text(r.error, "IP"), percent(r.share, 1)) for r in rows[:12]
    ]
    assert all(size for _, _, size, _ in shown)
    shares = [float(str(r[3]).removesuffix(" %")) for r in table.rows[1:]]
    assert sum(shares) == pytest.approx(100 * sum(r.share for r in rows), abs=0.7)
    assert table.rows[-1][0] == f"{len(rows) - 12} others"


def test_what_the_readings_say_stands_for_both_visits(changes, pages):
    change = changes["reading_room"]
    listed = pages["reading_room"].words["li"]
    for head, doubt in (("Before", change.before), ("After", change.after)):
        first = airside.explain(doubt).finding_sentences("IP")[0]
        assert f"{head}: {plain(first)}" in listed


def test_sections_are_numbered_and_the_signature_ends_them(pages):
    heads = [h for h in pages["reading_room"].words["h2"] if h[0].isdigit()]
    assert [int(h.split(".")[0]) for h in heads] == list(range(1, len(heads) + 1))
    assert heads[-1].endswith("Signature")
    for name in ("Licence or registration number", "Signature", "Name", "Date"):
        assert [None] in pages["reading_room"].fact(name)


# -- the customer's page --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", PAIRS)
def test_the_customers_sentence_has_the_number_and_the_range(changes, pages, name):
    found = changes[name].ratios[changes[name].basis]
    said = ("with a probability of 95 %", "(95 % probability)")
    sentence = next(p for p in pages[name].words["p"] if any(s in p for s in said))
    ends = [f"{100 * v:.0f}" for v in found.interval_95]
    if name == "reading_room":
        assert sentence == (
            f"At the same conditions, the system delivers about {100 * found.value:.0f} % more cooling than before the work: "
            f"between {ends[0]} and {ends[1]} %, with a probability of 95 %."
        )
    else:
        assert sentence.startswith("The readings do not show whether the system delivers more or less cooling")
        first, last = (f"{v.estimate('total').value / 1000:.3g}" for v in (changes[name].before, changes[name].after))
        assert sentence.endswith(
            f"than before the work. The change lies between {ends[0]} and +{ends[1]} % (95 % probability). "
            f"Before: about {first} kW. After: about {last} kW, as measured."
        )
    assert pages[name].words["h1"] == ["Delivered cooling before and after the work"]


def test_a_loss_is_called_one_and_small_figures_keep_their_decimal():
    before, after = demo("reading_room", "before"), demo("reading_room", "after")
    swapped = airside.compare(
        after.model_copy(update={"date": None}), before.model_copy(update={"date": None}), reference="after", **FEW
    )
    page = Page(report_html(swapped, **STAMP))
    sentence = next(p for p in page.words["p"] if "with a probability of 95 %" in p)
    assert "% less cooling than before the work" in sentence
    low, high = (-v for v in swapped.ratios["reference"].interval_95[::-1])
    digits = 0 if low >= 0.01 else 1
    assert f"between {100 * low:.{digits}f} and {100 * high:.{digits}f} %" in sentence


def test_a_visit_against_itself_says_so():
    visit = demo("reading_room", "before")
    page = Page(report_html(visit, visit, **FEW, **STAMP))
    assert page.text.count("Before and after are one and the same visit") >= 2


def test_without_outdoor_air_the_reservation_stands_on_the_first_page():
    def without(which):
        visit = demo("reading_room", which)
        return visit.model_copy(update={"readings": visit.readings.model_copy(update={"outdoor": None})})

    text = report_html(without("before"), without("after"), **FEW, **STAMP)
    first = plain(text[: text.index("Engineer&#39;s pages" if "Engineer&#39;s" in text else "Engineer's pages")])
    assert "What may change this answer" in first and "has no outdoor dry bulb" in first
    assert "part of what differs may be the weather" in first
    assert "At the same conditions" not in first


# -- one visit ------------------------------------------------------------------------------------------


def test_one_visit_says_its_capacity_with_interval_and_uncertainty(single):
    result, page = single
    found = result.doubt.estimate("total")
    low, high = (show(v, "capacity", "IP", unit=i == 1) for i, v in enumerate(found.interval_95))
    value = show(found.value, "capacity", "IP")
    assert f"Delivered total cooling capacity: {value}, 95 % interval {low} to {high}." in page.words["p"]
    doubt = show(found.standard_uncertainty, "capacity", "IP")
    assert page.table("Delivered cooling capacity").row("Total capacity") == [value, f"{low} to {high}", doubt]
    assert page.words["h1"] == ["Delivered cooling"]
    rounded = f"{round(found.value * 3.412142, -2):,.0f}"
    assert f"The system delivered about {rounded} Btu/h of cooling on 2026-07-14" in page.text


def test_one_visit_has_the_rows_of_what_explains_it(single):
    result, page = single
    for heading, rows, sentences in airside.explain(result.doubt).blocks():
        table = page.table(heading)
        assert [r[0] for r in table.rows[1:]] == [r.title for r in rows]
        assert [r[1] for r in table.rows[1:]] == [r.text("IP") for r in rows]
        for sentence in sentences:
            assert plain(sentence) in page.words["li"]


def test_a_result_that_is_computed_is_not_computed_again(monkeypatch, changes):
    import airside.show.report.subject as subject

    change = changes["bakery"]
    known = [airside.explain(d) for d in (change.before, change.after)]

    def never(*_, **__):
        raise AssertionError("computed again")

    for name in ("compare", "explain"):
        monkeypatch.setattr(subject, name, never)
    assert with_minus(change.verdict) in plain(report_html(change, explanations=known, **STAMP))


def test_heating_is_called_heating_and_has_its_conditions(tmp_path):
    files = []
    for which in ("before", "after"):
        text = in_heating((DATA / "reading_room" / f"{which}.toml").read_text(encoding="utf-8"))
        files.append(tmp_path / f"{which}.toml")
        files[-1].write_text(text, encoding="utf-8")
    shutil.copy(DATA / "reading_room" / "fan_table.csv", tmp_path)
    visits = [load_visit(f) for f in files]
    page = Page(report_html(*visits, reference="H1", **FEW, **STAMP))
    assert "Delivered heating before and after the work" in page.text and "cooling coil" in page.text.lower()
    assert "Coil: The visit is in heating: the coil's figures are of a cooling coil." in page.words["li"]
    assert page.table("At the same conditions (rating condition H1 of 10 CFR 430").rows[1][0] == "Total"
    assert page.fact("Mode") == [["heating", "heating"]]
    one = Page(report_html(visits[0], **FEW, **STAMP))
    assert "of heating on 2026-07-14" in one.text and "nominal, by the nameplate" not in one.text


def test_a_visit_without_anything_that_may_be_left_out():
    page = Page(report_html(bare(), **FEW, **STAMP))
    for name in ("Customer", "Place", "Measured on", "Measured by"):
        assert page.fact(name) == [[None], [None]], name
    assert page.fact("What was done") == [[None]] and page.fact("Work before this visit") == [[None]]
    assert page.fact("Refrigerant") == [] and page.fact("Notes") == []
    for sentence in ("Refrigerant side: The visit has no refrigerant readings.",
                     "There was no side-by-side check of the probes."):  # fmt: skip
        assert sentence in page.words["li"]
    rows = page.table("Instruments").rows[1:]
    assert {r[5] for r in rows} == {"assumed"} and {r[0] for r in rows} == {"not named"}
    assert "Assumed accuracy of dry bulb, relative humidity: common practice, no source." in page.words["li"]
    pair = Page(report_html(bare(), bare(name="again", units="IP", airflow={"method": "measured", "basis": "actual", "volume_flow": 1060},
                                         readings={"return": {"dry_bulb": 77, "relative_humidity": 50.0},
                                                   "supply": {"dry_bulb": 57, "relative_humidity": 88.0}}),
                            **FEW, **STAMP))  # fmt: skip
    assert pair.fact("Measured by") == [[None, None], [None]]
    assert pair.text.count("as measured, not at the same conditions") == 1


def test_no_cooling_is_said_as_such():
    # Almost as warm as the return, and wetter: the air has gained heat.
    wrong = bare(readings={"return": {"dry_bulb": 25.0, "relative_humidity": 50.0},
                           "supply": {"dry_bulb": 24.5, "relative_humidity": 60.0}})  # fmt: skip
    page = Page(report_html(wrong, **FEW, **STAMP))
    assert "The readings show no cooling: the figure comes out as -" in page.text


# -- who, what, with what -------------------------------------------------------------------------------


def with_words(text, **words):
    """A demo visit with the report's own fields."""
    lines = "\n".join(f'{k} = """{v}"""' for k, v in words.items() if not k.startswith("site_"))
    site = "\n".join(f'{k[5:]} = """{v}"""' for k, v in words.items() if k.startswith("site_"))
    return text.replace('mode = "cooling"', f'{lines}\nmode = "cooling"').replace("[site]", f"[site]\n{site}")


def test_what_the_visit_says_of_people_and_work_stands_there():
    visits = []
    for which, work in (("before", "None."), ("after", "Outdoor coil washed.\nFan wiped.")):
        text = (DATA / "reading_room" / f"{which}.toml").read_text(encoding="utf-8")
        text = with_words(text, customer="A library", measured_by=f"Person {which}", work=work, notes="Warm day.",
                          site_name="Main building", site_address="Square 1\nTown")  # fmt: skip
        visits.append(parse_visit(text, path=DATA / "reading_room" / f"{which}.toml"))
    page = Page(report_html(*visits, **FEW, **STAMP))
    assert page.fact("Customer") == [["A library"], ["A library", "A library"]]
    assert page.fact("Place") == [["Main building Square 1 Town"], ["Main building Square 1 Town"] * 2]
    assert page.fact("What was done") == [["Outdoor coil washed. Fan wiped."]]
    assert page.fact("Work before this visit") == [["None.", "Outdoor coil washed. Fan wiped."]]
    assert page.fact("Measured by") == [["Person before", "Person after"]] * 2
    assert page.fact("Notes") == [["Warm day.", "Warm day."]]


def test_instruments_say_what_is_stated_and_what_is_assumed(single):
    _, page = single
    rows = {(r[0], r[1]): r for r in page.table("Instruments").rows[1:]}
    probe = rows["duct_probe_1", "dry bulb"]
    assert probe[2:] == ["± 0.9 °F (limit)", "0.1 °F", "10 % (assumed)", "stated", "return dry bulb"]
    assert rows["duct_probe_1", "relative humidity"][2:4] == ["± 2.5 % RH (limit)", "0.1 % RH"]
    gauge = rows["gauge_set_1", "refrigerant pressure"]
    assert gauge[2] == "± 1 psi gauge plus 0.5 % of reading (limit)"
    assert rows["not named", "power"][5:] == ["assumed", "fan"]
    # Every instrument of the file is there.
    stated = tomllib.loads((DATA / "reading_room" / "before.toml").read_text(encoding="utf-8"))["instruments"]
    assert {(n, q.replace("_", " ")) for n, qs in stated.items() for q in qs} <= set(rows)


def test_readings_are_the_means_of_the_file(single):
    _, page = single
    readings = tomllib.loads((DATA / "reading_room" / "before.toml").read_text(encoding="utf-8"))["readings"]
    values = readings["supply"]["dry_bulb"]
    row = page.table("Readings, as taken").row("Supply dry bulb")
    assert row[:5] == [
        "duct_probe_2",
        str(len(values)),
        f"{sum(values) / len(values):.1f} °F",
        f"{min(values):.1f}",
        f"{max(values):.1f}",
    ]
    pressures = readings["refrigerant"]["liquid_pressure"]
    row = page.table("Readings, as taken").row("Refrigerant liquid pressure")
    assert row[2] == f"{sum(pressures) / len(pressures):.1f} psi gauge"
    assert page.table("Readings, as taken").row("Refrigerant liquid line")[0] == "pipe_clamps"


def test_two_accuracies_for_one_name_give_the_one_that_counts():
    before = demo("reading_room", "before")
    text = (
        (DATA / "reading_room" / "after.toml").read_text(encoding="utf-8").replace("accuracy = 0.9", "accuracy = 1.5")
    )
    after = parse_visit(text, path=DATA / "reading_room" / "after.toml")
    page = Page(report_html(before, after, **FEW, **STAMP))
    table = page.table("Instruments, the same in both visits")
    assert table.rows[1][:3] == ["duct_probe_1", "dry bulb", "± 1.5 °F (limit)"]
    # What differs is said on the first page, and again among the warnings.
    assert page.text.count("has different accuracies before and after") >= 3


def test_the_sources_are_those_of_the_modules(pages):
    table = pages["reading_room"].table("Sources")
    assert table.row("moist air") == [
        "ASHRAE Handbook—Fundamentals (2017), SI edition, ch. 1 Psychrometrics, Eq. 3 to 38."
    ]
    assert "Fan laws" in str(table.row("airflow by fan table"))
    assert all(cell for row in table.rows for cell in row)


def test_no_source_names_a_module(pages):
    for page in pages.values():
        assert "airside." not in " ".join(str(c) for row in page.table("Sources").rows for c in row)
        assert page.table("Sources").row("expected capacity") == [
            "10 CFR part 430 subpart B appendix M1, cooling test A."
        ]


# -- words ----------------------------------------------------------------------------------------------


def test_there_is_one_minus_sign(changes):
    text = re.sub(
        r"<style>.*?</style>|<pre>.*?</pre>|<[^>]*>", " ", report_html(changes["bakery"], **STAMP), flags=re.S
    )
    assert "interval −" in text and re.findall(r"(?<![\w-])-\d", text) == []


def test_words_of_a_file_stay_as_they_are():
    visit = bare(name="Unit -5", system={"name": "-3 hall"}, customer="-7 and Sons")
    text = report_html(visit, **FEW, **STAMP)
    assert "Unit -5" in text and "-3 hall" in text and "-7 and Sons" in text


def test_sentences_of_both_visits_and_keys_of_the_file():
    assert merged(["Before: a b.", "x", "After: a b.", "After: c."]) == ["Before and after: a b.", "x", "After: c."]
    said = in_words("Before: readings.refrigerant.suction_pressure: superheat is 3.0 K.")
    assert said == "Suction pressure, before: superheat is 3.0 K."
    assert in_words("readings.supply.dry_bulb: x") == "Supply dry bulb: x"
    assert in_words("Before and after: side_by_side: x") == "Side-by-side check, before and after: x"
    assert in_words("No electric power under [readings.power].") == "No electric power."
    for plain_text in ("Before: The supply dry bulb ranged over 2 K.", "Airflow: as measured.", "The fan: on."):
        assert in_words(plain_text) == plain_text


def test_sentences_that_differ_in_the_quantity_become_one():
    scatter = "{}: {} no scatter to go by; a usual scatter is taken in its place, {} (common practice, no source)."
    each = [("Return dry bulb", "0.2 K"), ("Supply dry bulb", "0.4 K")]
    three = [scatter.format(name, "3 readings have", size) for name, size in each]
    single = scatter.format("Fan power", "a single reading has", "0.02 kW")
    one, other, last = gathered([three[0], "Something else.", three[1], single])
    assert other == "Something else." and last == single
    assert one == (
        "3 readings have no scatter to go by; a usual scatter (one standard deviation) is taken in its place: return dry bulb "
        "0.2 K; supply dry bulb 0.4 K (common practice, no source)."
    )


def pair_of_three(**more):
    """Two visits of three readings each, without the names of instruments."""
    air = {"return": {"dry_bulb": [25.0, 25.1, 25.0], "relative_humidity": [50.0, 50.2, 50.1]},
           "supply": {"dry_bulb": [14.0, 14.1, 14.0], "relative_humidity": [88.0, 88.1, 88.0]}}  # fmt: skip
    colder = {**air, "supply": {**air["supply"], "dry_bulb": [13.6, 13.7, 13.6]}}
    return bare(name="a", readings={**air, **more}), bare(name="b", readings={**colder, **more})


def test_what_is_said_is_said_once():
    visits = pair_of_three()
    page = Page(report_html(*visits, **FEW, **STAMP))
    engineer = page.words["li"]
    assert len(engineer) == len(set(engineer)) + sum(engineer.count(t) - 1 for t in set(engineer) if "outdoor dry" in t)
    assert any(t.startswith("Before and after: Supply dry bulb names no instrument") for t in engineer)
    (one,) = [t for t in engineer if "no scatter to go by; a usual scatter" in t]
    for words in ("return dry bulb 0.2 K", "supply relative humidity 1 % RH"):
        assert words in one
    assert not any("Default accuracy class" in t for t in engineer)


def test_doubts_of_placement_have_numbers():
    page = Page(report_html(pair_of_three()[0], **FEW, **STAMP))
    assert any("dry bulb is 0.1 K at return and 0.3 K at supply (common" in t for t in page.words["li"])
    assert page.table("Named errors").row("supply dry bulb, placement")[1] == "0.3 K"
    ip = Page(report_html(demo("bakery", "before").shown_in("IP"), **FEW, **STAMP))
    assert any("is 0.18 °F at return, 0.54 °F at supply and 0.9 °F outdoors" in t for t in ip.words["li"])


# -- readings and steadiness ----------------------------------------------------------------------------


def test_interval_and_steadiness(single):
    assert single[1].fact("Steadiness") == [["field tolerances, met at return, supply and outdoors"]]
    assert single[1].fact("Interval between readings") in ([[None]], [["2.0 min"]])
    first, second = pair_of_three(interval=2)
    wide = second.model_copy(
        update={"readings": second.readings.model_copy(
            update={"supply": second.readings.supply.model_copy(update={"dry_bulb": (13.0, 13.6, 15.0)})}
        )}
    )  # fmt: skip
    page = Page(report_html(first, wide, **FEW, **STAMP))
    assert page.fact("Interval between readings") == [["2.0 min", "2.0 min"]]
    assert page.fact("Steadiness") == [
        ["field tolerances, met at return and supply", "field tolerances, not met by supply dry bulb"]
    ]
    assert any(t.startswith("After: The supply dry bulb ranged over 2.0 K") for t in page.words["li"])
    assert Page(report_html(bare(), **FEW, **STAMP)).fact("Steadiness") == [["cannot be told from single readings"]]


def test_every_reading_stands_at_the_end(single):
    visit = tomllib.loads((DATA / "reading_room" / "before.toml").read_text(encoding="utf-8"))
    (table,) = [t for t in single[1].tables if t.rows and "values, in the order of reading" in t.rows[0]]
    rows = {r[0]: r[1:] for r in table.rows[1:]}
    air, side = visit["readings"], visit["side_by_side"]
    for label, unit, values in (
        ("Supply dry bulb", "°F", air["supply"]["dry_bulb"]),
        ("Refrigerant suction pressure", "psi gauge", air["refrigerant"]["suction_pressure"]),
        ("Side-by-side dry bulb, duct_probe_2", "°F", side["dry_bulb"][1]),
    ):
        assert rows[label] == [unit, " ".join(f"{v:.1f}" for v in values)]


# -- to make it again -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", PAIRS)
def test_hashes_are_those_of_the_files(pages, name):
    table = pages[name].table("Files")
    files = ["before.toml", "after.toml", *(["fan_table.csv"] if name == "reading_room" else [])]
    assert [r[0] for r in table.rows[1:]] == files
    for file, _, digest in table.rows[1:]:
        assert digest == hashlib.sha256((DATA / name / str(file)).read_bytes()).hexdigest()
    assert str(DATA) not in " ".join(pages[name].all)


def test_a_table_in_another_folder_and_one_that_is_gone(tmp_path):
    text = (DATA / "reading_room" / "before.toml").read_text(encoding="utf-8")
    for folder in ("visits", "tables"):
        (tmp_path / folder).mkdir()
    shutil.copy(DATA / "reading_room" / "fan_table.csv", tmp_path / "tables" / "fan.csv")
    text = text.replace('"fan_table.csv"', '"../tables/fan.csv"')
    # A target superheat table counts for a fixed orifice alone; this visit has a valve, and no refrigerant readings.
    text = text[: text.index("[readings.refrigerant]")]
    text = text.replace("[system]", '[system]\ntarget_superheat_table = "gone.csv"')
    (tmp_path / "visits" / "one.toml").write_text(text, encoding="utf-8")
    page = Page(report_html(load_visit(tmp_path / "visits" / "one.toml"), **FEW, **STAMP))
    table = page.table("Files")
    assert [r[0] for r in table.rows[1:]] == ["one.toml", "../tables/fan.csv", "gone.csv"]
    assert table.rows[2][2] == hashlib.sha256((tmp_path / "tables" / "fan.csv").read_bytes()).hexdigest()
    assert table.rows[3][2] == "cannot be read; not used"


def test_version_draws_and_seed_stand_there(pages):
    page = pages["reading_room"]
    assert page.fact("Library") == [[f"airside {airside.__version__}"]]
    assert page.fact("Draws") == [["4,000"]] and page.fact("Seed of the draws") == [["3"]]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({}, "--reference before"),
        ({"reference": "after"}, "--reference after"),
        ({"reference": "A"}, "--reference A"),
        ({"same_flow": True}, "--reference before --same-flow"),
        (
            {"reference": Conditions("stated conditions", 17.0, 33.0)},
            "--reference stated --return-wet-bulb '62.6 degF' --outdoor-dry-bulb '91.4 degF'",
        ),
    ],
)
def test_the_command_line_is_the_one_that_makes_it_again(options, words):
    page = Page(report_html(demo("reading_room", "before"), demo("reading_room", "after"), **options, **FEW, **STAMP))
    assert page.words["pre"] == [
        f"airside report before.toml after.toml {words} --units IP --draws 4000 --seed 3 --out report.html"
    ]


def test_a_visit_typed_in_a_panel_is_put_at_the_end_and_reads_back(tmp_path):
    text = (DATA / "reading_room" / "before.toml").read_text(encoding="utf-8").replace("76.6, 76.4", "76.7, 76.4")
    for place in (DATA / "reading_room" / "before.toml", DATA / "reading_room" / "sheet.toml"):
        typed = parse_visit(text, path=place)
        html = report_html(typed, **FEW, **STAMP)
        page = Page(html)
        assert page.table("Files").rows[1] == ["–", "visit", "typed in a panel, not read from a file"]
        assert [r[0] for r in page.table("Files").rows[1:]] == ["–", "fan_table.csv"]
        command, toml = page.words["pre"]
        assert command.startswith("airside report visit.toml --units IP")
        again = parse_visit(toml, path=DATA / "reading_room" / "visit.toml")
        assert again.readings.return_air.dry_bulb == pytest.approx(typed.readings.return_air.dry_bulb, abs=1e-9)
        assert report_html(typed, **FEW, **STAMP) == html
        figures = [Page(report_html(v, **FEW, **STAMP)).table("Delivered cooling").rows for v in (typed, again)]
        assert figures[0] == figures[1]


def test_two_typed_visits_are_both_put_at_the_end(changes):
    texts = [(DATA / "bakery" / f"{n}.toml").read_text(encoding="utf-8") for n in ("before", "after")]
    page = Page(report_html(*(parse_visit(t) for t in texts), **FEW, **STAMP))
    assert page.words["pre"][0].startswith("airside report before.toml after.toml")
    assert [parse_visit(t).name for t in page.words["pre"][1:]] == [parse_visit(t).name for t in texts]
    assert changes["bakery"].verdict in page.words["p"]


def test_the_visits_as_loaded_stand_for_those_of_the_result():
    before = demo("reading_room", "before")
    text = (
        (DATA / "reading_room" / "after.toml").read_text(encoding="utf-8").replace("accuracy = 0.9", "accuracy = 1.5")
    )
    after = parse_visit(text, path=DATA / "reading_room" / "after.toml")
    change = airside.compare(before, after, **FEW)
    # The comparison takes one accuracy for both, so its own visits are not those of the files.
    assert Page(report_html(change, **STAMP)).table("Files").rows[1][2] == "typed in a panel, not read from a file"
    page = Page(report_html(change, visits=(before, after), **STAMP))
    assert len(str(page.table("Files").rows[1][2])) == 64
    assert "accuracy = 1.5" in page.words["pre"][1]


# -- the same each time ---------------------------------------------------------------------------------


def test_the_same_inputs_give_the_same_bytes(changes):
    pair = demo("reading_room", "before"), demo("reading_room", "after")
    first, again = (report_bytes(*pair, **FEW, **STAMP) for _ in range(2))
    assert first == again == report_bytes(changes["reading_room"], **STAMP)
    other = report_bytes(*pair, **FEW, time_stamp="2027-01-02 03:04").decode().splitlines()
    differing = [(a, b) for a, b in zip(first.decode().splitlines(), other, strict=True) if a != b]
    assert differing == [
        ('<p class="stamp">Report made 2026-11-24 10:00</p>', '<p class="stamp">Report made 2027-01-02 03:04</p>')
    ]


def test_bytes_do_not_depend_on_where_the_files_lie(tmp_path, monkeypatch):
    here = report_bytes(demo("bakery", "before"), demo("bakery", "after"), **FEW, **STAMP)
    shutil.copytree(DATA / "bakery", tmp_path / "elsewhere")
    monkeypatch.chdir(tmp_path / "elsewhere")
    assert report_bytes(load_visit("before.toml"), load_visit("after.toml"), **FEW, **STAMP) == here


def test_the_time_stamp_may_be_left_out_be_that_of_the_source_or_be_now(single, monkeypatch):
    result, _ = single

    def stamp(time_stamp):
        return re.findall(r'<p class="stamp">Report made (.*)</p>', report_html(result, time_stamp=time_stamp))

    assert stamp("none") == []
    assert stamp(datetime(2026, 11, 24, 10, 0, 31)) == ["2026-11-24 10:00"]
    assert stamp("2026-11-24") == ["2026-11-24 00:00"]
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795514400")
    assert stamp("now") == [f"{datetime.fromtimestamp(1795514400, UTC):%Y-%m-%d %H:%M} UTC"]
    assert stamp("2026-11-25 02:46 UTC") == ["2026-11-25 02:46 UTC"] == stamp("2026-11-25T02:46+00:00")
    assert stamp("2026-11-25 02:46-07:00") == ["2026-11-25 02:46 UTC-07:00"] == stamp("2026-11-25 02:46 UTC-07:00")
    monkeypatch.delenv("SOURCE_DATE_EPOCH")
    (now,) = stamp("now")
    known = datetime.fromisoformat(re.sub(r" UTC(?=[+-]|$)", "", now) + ("+00:00" if now.endswith("UTC") else ""))
    assert abs((datetime.now().astimezone() - known).total_seconds()) < 3600
    # What a report shows is read again.
    assert stamp(now) == [now]


@pytest.mark.parametrize("text", ["yesterday", "", "2026-13-40", "24.11.2026"])
def test_a_time_stamp_that_is_none_is_a_sentence(single, text):
    with pytest.raises(AirsideError, match=r"is not a time\. Expected a day and a time"):
        report_html(single[0], time_stamp=text)


@pytest.mark.parametrize("text", ["abc", "1e9", "99999999999999999999"])
def test_a_source_date_that_is_none_is_a_sentence(single, monkeypatch, text):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", text)
    with pytest.raises(AirsideError, match="expected whole seconds since 1970"):
        report_html(single[0])


def test_arguments_that_do_not_go_together(changes, single):
    after = demo("bakery", "after")
    with pytest.raises(ComparisonError, match="holds both visits already"):
        report_html(changes["bakery"], after)
    with pytest.raises(ComparisonError, match="goes with a before visit"):
        report_html(single[0], after)
    with pytest.raises(ComparisonError, match="2 visits: expected as many"):
        report_html(changes["bakery"], explanations=[airside.explain(single[0].doubt)])
    with pytest.raises(ValueError, match="expected 'html' or 'pdf'"):
        report_bytes(single[0], form="odt")


def test_a_result_without_its_doubt_is_given_one():
    result = airside.analyse(demo("bakery", "before"), with_doubt=False)
    assert isinstance(result.visit, Visit) and result.doubt is None
    page = Page(report_html(result, **FEW, **STAMP))
    assert page.table("Delivered cooling capacity").row("Total capacity")[1]


def test_the_file_is_small_and_needs_nothing_else(changes):
    for change in changes.values():
        page = report_bytes(change, **STAMP)
        assert len(page) < 500_000
        assert b"<script" not in page and b"http:" not in page and b"https:" not in page
