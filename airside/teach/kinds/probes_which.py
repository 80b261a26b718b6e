"""Questions of lesson 2 that are answered by choosing; where it can be computed which answer is right, it is."""

from __future__ import annotations

import math

from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.state import MoistAir
from airside.instruments.accuracy import Statement, resolution_uncertainty
from airside.instruments.named_error import NamedError
from airside.instruments.propagation import linear
from airside.instruments.side_by_side import Offset
from airside.teach.question import Parameter, QuestionKind, Solution, Step, Values

GUM = "JCGM 100:2008 (GUM)"
PRACTICE = "common practice, no source"


def _significant(values: Values) -> Solution:
    found = Offset(values["offset"], values["doubt"], 10)
    return Solution(0.0 if found.is_significant else 1.0, (
        Step("Offset", values["offset"], "temperature_difference", (2, 2)),
        Step("Twice its standard uncertainty", 2 * values["doubt"], "temperature_difference", (2, 2), written="2 × {doubt}"),
    ))  # fmt: skip


def _more_readings(values: Values) -> Solution:
    one, many = (resolution_uncertainty(values["step"], values["scatter"], n) for n in (1, 20))
    return Solution(0.0 if many < one else 1.0, (
        Step("Scatter of the readings", values["scatter"], "temperature_difference"),
        Step("Step of the display", values["step"], "temperature_difference"),
    ))  # fmt: skip


def _of_one_and_of_two(values: Values) -> tuple[float, float]:
    """Doubt of the drop with one probe moved, and with two."""
    u = Statement(accuracy=values["accuracy"]).standard_uncertainty(0.0)

    def moved(drawn: object) -> dict[str, float]:
        error = float(dict(drawn).get("first", 0.0))  # type: ignore[call-overload]
        return {"drop": error - error}

    def two(drawn: object) -> dict[str, float]:
        given = dict(drawn)  # type: ignore[call-overload]
        return {"drop": float(given.get("first", 0.0)) - float(given.get("second", 0.0))}

    errors = [NamedError(n, n, "calibration", u, "rectangular") for n in ("first", "second")]
    return (
        linear(moved, errors[:1], ["drop"])["drop"].standard_uncertainty,
        linear(two, errors, ["drop"])["drop"].standard_uncertainty,
    )


def _one_probe(values: Values) -> Solution:
    one, two = _of_one_and_of_two(values)
    return Solution(0.0 if math.isclose(one, 0.0, abs_tol=1e-12) and two > 0 else 1.0, (
        Step("What calibration brings to the drop with one probe in both places", one, "temperature_difference", (2, 2)),
        Step("With two probes, never compared", two, "temperature_difference", (2, 2), written="{accuracy} ÷ 1.732 × 1.414"),
    ))  # fmt: skip


def _what_a_check_leaves(values: Values) -> Solution:
    """An error that both probes have stays in each reading, and goes from their difference."""
    shared = values["shared"]
    found = Offset((values["reading"] + shared) - (values["reading"] + shared), 0.0, 10).offset
    return Solution(1.0 if found == 0 and shared != 0 else 0.0, (
        Step("Offset that the check shows", found, "temperature_difference"),
        Step("Error that both readings still have", shared, "temperature_difference"),
    ))  # fmt: skip


def _dry_wick(values: Values) -> Solution:
    air = MoistAir.from_relative_humidity(values["dry_bulb"], values["relative_humidity"], SEA_LEVEL_PRESSURE)
    # A wick without water shows the dry bulb.
    error = float(air.dry_bulb) - float(air.wet_bulb)
    return Solution(0.0 if error > 0 else 1.0, (
        Step("Wet bulb of this air", float(air.wet_bulb), "temperature"),
        Step("What a dry wick shows in the end: the dry bulb", float(air.dry_bulb), "temperature"),
    ))  # fmt: skip


PROBE_CHOICES = (
    QuestionKind(
        name="is_the_offset_real",
        lesson=2,
        title="Is the offset real?",
        ask="A side-by-side check of two probes gives an offset of {offset}, with a standard uncertainty of {doubt}. What do you make of it?",
        kind="count",
        parameters=(
            Parameter("offset", "temperature_difference", 0.1, 0.8, (0.05, 0.05)),
            Parameter("doubt", "temperature_difference", 0.05, 0.3, (0.05, 0.02)),
        ),
        solve=_significant,
        limits=(0, 2),
        hints=(
            "Compare the offset with its own doubt.",
            "An offset of more than twice its standard uncertainty is taken as real.",
        ),
        options=(
            "It is real: take it off",
            "It cannot be told from zero with these readings",
            "It shows which of the two probes is right",
        ),
        because=(
            "An offset is taken as real where it is more than twice its standard uncertainty. Work out twice the doubt and compare.",
            "An offset cannot be told from zero where it is less than twice its standard uncertainty. Work out twice the doubt and compare.",
            "A side-by-side check says how far the probes are apart, never which one is right. For that you need a better instrument.",
        ),
        possible=lambda v: abs(v["offset"] / v["doubt"] - 2) > 0.25,
        source=PRACTICE,
    ),
    QuestionKind(
        name="do_more_readings_help",
        lesson=2,
        title="Do more readings help against rounding?",
        ask="A thermometer shows steps of {step}. In the duct its readings scatter by {scatter} (one standard deviation). Does the mean of twenty "
        "readings suffer less from the rounding of the display than one reading?",
        kind="count",
        parameters=(
            Parameter("step", "temperature_difference", 0.1, 0.6, (0.1, 0.1)),
            Parameter("scatter", "temperature_difference", 0.0, 0.8, (0.1, 0.1)),
        ),
        solve=_more_readings,
        limits=(0, 2),
        hints=(
            "Rounding averages out when the readings fall on many steps.",
            "Compare the scatter with the step.",
        ),
        options=(
            "Yes: the readings fall on several steps, so the rounding averages out",
            "No: the readings sit on the same step or two, so the rounding stays",
            "Yes: twenty readings are always better",
        ),
        because=(
            "Rounding averages out where the scatter is at least as large as the step. Compare the two.",
            "Where the scatter is smaller than the step, every reading is rounded in much the same way. Compare the two.",
            "Not always. If the display shows the same figure twenty times, it says the same thing twenty times.",
        ),
        possible=lambda v: abs(v["scatter"] - v["step"]) > 0.3 * v["step"],
        source=f"{GUM}, F.2.2.1",
    ),
    QuestionKind(
        name="one_probe_in_both_places",
        lesson=2,
        title="One probe, or two?",
        ask="You have probes with an accuracy of ±{accuracy}, and you need the dry-bulb drop over a coil. The unit runs steadily. Which way does "
        "calibration trouble the drop least?",
        kind="count",
        parameters=(Parameter("accuracy", "temperature_difference", 0.3, 1.0, (0.1, 0.1)),),
        solve=_one_probe,
        limits=(0, 2),
        hints=(
            "A probe that reads too high reads too high in both places.",
            "What becomes of that when you take one reading from the other?",
        ),
        options=(
            "One probe, moved from return to supply, with time to settle in each",
            "Two probes, one in each place, never compared",
            "It makes no difference: the accuracy is the same",
        ),
        because=(
            "One probe brings the same error to both readings, and in the difference it drops out. What is left is what changes between warm "
            "and cold air, and what the air itself does in the meantime.",
            "Two probes have two errors of their own, and in the difference both stay. Compare them side by side first, or move one probe.",
            "The accuracy of each reading is the same, the drop's is not: an error that is in both readings drops out of their difference.",
        ),
        source=f"{GUM}, 5.2.2",
    ),
    QuestionKind(
        name="what_a_side_by_side_check_leaves",
        lesson=2,
        title="What a side-by-side check cannot see",
        ask="Two probes of one make both read {shared} too high, in air at {reading}. You compare them side by side. What does the check find?",
        kind="count",
        parameters=(
            Parameter("shared", "temperature_difference", 0.3, 1.1, (0.1, 0.1)),
            Parameter("reading", "temperature", 20.0, 26.0, (0.5, 0.5)),
        ),
        solve=_what_a_check_leaves,
        limits=(0, 2),
        hints=(
            "The check looks at the difference between the two probes.",
            "What is the difference of two readings that are both too high by the same?",
        ),
        options=(
            "That both are too high",
            "No offset; the error they share stays in both",
            "No offset, so both are right",
        ),
        because=(
            "Nothing in the check knows the true temperature. It sees only how far the two are apart.",
            "What both have in common drops out of their difference. It also drops out of return less supply, but it stays in each reading, and "
            "so in every humidity worked out from one.",
            "Probes that agree may be wrong together. Only a better instrument, or an ice bath, can tell.",
        ),
        source=PRACTICE,
    ),
    QuestionKind(
        name="what_a_dry_wick_shows",
        needs=("chart",),
        lesson=2,
        title="What a dry wick does",
        ask="A psychrometer is used in air at {dry_bulb} and {relative_humidity} relative humidity. Nobody has wetted its wick, and it dries out. What "
        "comes of it?",
        kind="count",
        parameters=(
            Parameter("dry_bulb", "temperature", 21.0, 28.0, (1.0, 0.5)),
            Parameter("relative_humidity", "relative_humidity", 0.35, 0.65, (1.0, 1.0)),
        ),
        solve=_dry_wick,
        limits=(0, 2),
        hints=(
            "What cools a wet bulb? What happens when that stops?",
            "Read on the chart what a higher wet bulb means at the same dry bulb.",
        ),
        options=(
            "The wet bulb reads too high, and the air seems damper than it is",
            "The wet bulb reads too low, and the air seems drier than it is",
            "The wet bulb is right as long as the fan blows",
        ),
        because=(
            "Without water nothing cools the bulb, so it climbs towards the dry bulb. On the chart that is damper air.",
            "A dry wick cools less, not more. The wet bulb climbs towards the dry bulb.",
            "The fan helps only while there is water to dry. Wet the wick with clean water and read when the figure has stopped falling.",
        ),
        source="ASHRAE Handbook—Fundamentals (2017) ch. 1, Eq. 33",
    ),
    QuestionKind(
        name="where_to_put_the_supply_probe",
        lesson=2,
        title="Where to put the supply probe",
        ask="The supply air of a school leaves the coil at about {supply}, in layers, and there are drops on the coil. Where do you put the "
        "supply probe?",
        kind="count",
        parameters=(Parameter("supply", "temperature", 10.0, 15.0, (1.0, 0.5)),),
        # No computation decides this one.
        solve=lambda v: Solution(1.0),
        limits=(0, 2),
        hints=(
            "You want the whole stream, well mixed, and a probe that stays dry.",
            "You also want no cold surface in its sight.",
        ),
        options=(
            "Close behind the coil, where the air is coldest",
            "After the fan or the first bend, in the middle of the duct, out of sight of the coil",
            "At the last outlet in the room, where it is easy to reach",
        ),
        because=(
            "Close behind the coil the air runs in layers, drops may hit the probe, and the cold coil takes heat from it by radiation.",
            "A fan or a bend mixes the layers, and the probe does not see the cold coil. Move it across the duct and see whether the reading "
            "stays the same.",
            "On the long way there the duct gains heat, or leaks. What you read is no longer what the unit delivers.",
        ),
        source=PRACTICE,
    ),
)  # fmt: skip
