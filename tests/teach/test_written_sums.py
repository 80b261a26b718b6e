"""The sums in worked steps: their numbers, by Python's own arithmetic, give the result that stands behind them."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

import pytest

from airside.errors import AirsideError
from airside.teach.drawing import Question, draw
from airside.teach.kinds import QUESTION_KINDS
from airside.teach.question import Parameter, QuestionKind, Solution, Step
from airside.teach.written_sum import of_readings, written_sum

# Units and words hold no operator of a sum but "/", which divides nowhere: ÷ does.
TOKEN = re.compile(
    r"(?P<number>(?<![\w.])-?(?P<mark>§?)\d[\d,]*(?:\.\d+)?)|(?P<percent>%)|(?P<sign>[×÷+−√()²^])|(?P<log>ln\b)"
    r"|(?P<unit>[°A-Za-z][\w°²³]*(?:/[\w°²³]+)*)|(?P<space>\s+)"
)
SEEDS = range(20)


@dataclass
class Token:
    kind: str
    text: str
    value: float = 0.0
    half: float = 0.0


def tokens(text: str) -> list[Token]:
    """A sum in pieces; an unknown sign fails."""
    found, at = [], 0
    while at < len(text):
        match = TOKEN.match(text, at)
        assert match, f"{text!r}: cannot read from {text[at:]!r}"
        at, kind = match.end(), next(k for k, v in match.groupdict().items() if v is not None and k != "mark")
        if kind == "number":
            plain = match[0].replace("§", "").replace(",", "")
            decimals = len(plain.partition(".")[2])
            # A marked number is exact, and a count of a few; any other is known to half its last decimal.
            known = bool(match["mark"]) or len(plain) == 1
            found.append(Token("number", match[0], float(plain), 0.0 if known else 0.5 * 10.0**-decimals))
        elif kind not in ("unit", "space"):
            found.append(Token(kind, match[0]))
    return found


class Reckoner:
    """Sums with + − × ÷ √ ^ ln, brackets, squares and percent; the usual order."""

    def __init__(self, pieces: list[Token], moved: int = -1, by: float = 0.0) -> None:
        self.pieces, self.at, self.moved, self.by = pieces, 0, moved, by

    def peek(self) -> str:
        return self.pieces[self.at].text if self.at < len(self.pieces) else ""

    def take(self) -> Token:
        self.at += 1
        return self.pieces[self.at - 1]

    def whole(self) -> float:
        value = self.sum()
        assert self.at == len(self.pieces), f"left over: {[p.text for p in self.pieces[self.at :]]}"
        return value

    def sum(self) -> float:
        value = self.product()
        while self.peek() in ("+", "−"):
            value = value + self.product() if self.take().text == "+" else value - self.product()
        return value

    def product(self) -> float:
        value = self.factor()
        while self.peek() in ("×", "÷"):
            value = value * self.factor() if self.take().text == "×" else value / self.factor()
        return value

    def factor(self) -> float:
        token = self.take()
        if token.text == "√":
            return math.sqrt(self.factor())
        if token.kind == "log":
            return math.log(self.factor())
        if token.text == "(":
            value = self.sum()
            assert self.take().text == ")"
        else:
            assert token.kind == "number", token
            value = token.value + (self.by if self.at - 1 == self.moved else 0.0)
        while self.peek() in ("%", "²"):
            value = value / 100 if self.take().text == "%" else value * value
        if self.peek() == "^":
            self.take()
            value = value ** self.factor()
        return value


def reckoned(text: str) -> tuple[float, float]:
    """What a sum gives, and how far the rounding of its numbers may move that."""
    pieces = tokens(text)
    value = Reckoner(pieces).whole()
    moves = [abs(Reckoner(pieces, n, p.half).whole() - value) for n, p in enumerate(pieces) if p.half]
    return value, sum(moves)


def result_of(text: str) -> tuple[float, float]:
    """A result, a number with its unit, and half of its last decimal."""
    number, *rest = [p for p in tokens(text) if p.text not in ("(", ")")]
    scale = 0.01 if any(p.kind == "percent" for p in rest) else 1.0
    decimals = len(number.text.partition(".")[2])
    return number.value * scale, 0.5 * 10.0**-decimals * scale


def drawn(kind: QuestionKind) -> list[Question]:
    return [draw(kind, seed, units) for units in kind.systems for seed in SEEDS]


def marked(question: Question, place: int) -> str:
    """A sum in which the numbers that the question states, and counts, carry a mark: they are exact."""

    def stated(name: str, way: str) -> str:
        return re.sub(r"(?<!\w)\d[\d,.]*", r"§\g<0>", question._in_a_sum(name, way))

    steps = question.solution.steps
    template = re.sub(r"(?<![\w{#.-])(\d{1,2}|\d{1,3}(?:,000)+|1\.08|1\.5|0\.5|4\.5|0\.075|144)(?![\d.,:}])", r"§\1",
                      steps[place].template(question.units))  # fmt: skip
    step = replace(steps[place], written=template)
    return written_sum((*steps[:place], step), place, question.units, stated)


def wrong_sums(kind: QuestionKind) -> list[str]:
    found = []
    for question in drawn(kind):
        for place, step in enumerate(question.solution.steps):
            text = question.written_sum(place)
            if not text:
                continue
            given, last = result_of(step.shown(question.units))
            value, rounding = reckoned(marked(question, place))
            if abs(value - given) > rounding + last * 1.001:
                found.append(f"{question.units} {question.seed}: {step.says}: {text} = {value:.6g}, not {given:.6g}")
            # Otherwise anything would do, and the trainee could not follow.
            if rounding > 0.05 * abs(given) + 6 * last:
                found.append(
                    f"{question.units} {question.seed}: {step.says}: {text} = {given:.6g} is too coarse: ±{rounding:.2g}"
                )
    return found


@pytest.mark.parametrize("name", sorted(QUESTION_KINDS))
def test_the_numbers_in_a_sum_give_the_result_behind_it(name: str) -> None:
    # Against Python's own arithmetic, read from the text that the trainee sees.
    assert not wrong_sums(QUESTION_KINDS[name])


def fixed(steps: tuple[Step, ...], *parameters: Parameter) -> Question:
    """A question of one's own with these steps."""
    kind = QuestionKind(
        name="fixed", lesson=1, title="Fixed", ask="?", kind="count", parameters=parameters, solve=lambda v: Solution(1.0, steps),
        limits=(0.0, 2.0), hints=("One.", "Two."),
    )  # fmt: skip
    values = {p.name: p.low if p.count == 1 else (p.low,) * p.count for p in parameters}
    return Question(kind, 1, "IP", values)


FLOW = Parameter("flow", "volume_flow", 1180 * 0.3048**3 / 60, 1180 * 0.3048**3 / 60, (10.0, 5.0))
DROP = Parameter("drop", "temperature_difference", 19.6 / 1.8, 19.6 / 1.8, (0.1, 0.1))
BELOW = Parameter("below", "duct_pressure", -0.2 * 249.08891, -0.2 * 249.08891, (0.01, 1.0))


def test_a_sum_stands_before_its_result() -> None:
    # 1.08 x 1,180 x 19.6 = 24,978
    watts = 24_978.24 * 1055.05585262 / 3600
    step = Step("Card", watts, "capacity", written=("1.08 × {flow} × {drop}", ""))
    asked = fixed((step, Step("Doubled", 2 * watts, "capacity", written="2 × {-1}")), FLOW, DROP)
    assert asked.worked == (
        "Card: 1.08 × 1,180 cfm × 19.6 °F = 24,978 Btu/h", "Doubled: 2 × 24,978 Btu/h = 49,956 Btu/h", "Answer: 1",
    )  # fmt: skip
    assert replace(asked, units="SI").worked[0] == "Card: 7.32 kW"


def test_a_negative_number_stands_in_brackets() -> None:
    asked = fixed((Step("Less", 0.0, "duct_pressure", written="{below} − {below} + {below}²"),), BELOW)
    assert asked.worked[0].startswith("Less: -0.20 inH2O − (-0.20 inH2O) + (-0.20 inH2O)² = 0.000")


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("{wind}", 'names "wind", which is no parameter'),
        ("{-1}", "names step -1, which does not stand before it"),
        ("{1}", "names step 1, which does not stand before it"),
        ("{#1}", "names #1, but it has 0 numbers"),
        ("{flow:upside down}", 'readings cannot be written as "upside down"'),
    ],
)
def test_a_template_that_names_what_is_not_there(written: str, says: str) -> None:
    with pytest.raises(AirsideError, match=re.escape(says)):
        fixed((Step("It is", 1.0, "count", written=written),), FLOW).written_sum(0)


def test_nothing_in_a_template_is_computed() -> None:
    asked = fixed((Step("It is", 1.0, "count", written="__import__('os').getcwd() + {flow.__class__}"),), FLOW)
    assert asked.written_sum(0) == "__import__('os').getcwd() + {flow.__class__}"


def test_readings_in_every_way() -> None:
    given = (72.5, 71.0, 73.0)
    assert of_readings(given, 1, "°F", "total") == "(72.5 + 71.0 + 73.0) °F"
    assert of_readings(given, 1, "°F", "count") == "3"
    assert (of_readings(given, 1, "°F", "highest"), of_readings(given, 1, "°F", "lowest")) == ("73.0 °F", "71.0 °F")
    assert of_readings(given, 1, "°F", "2") == "71.0 °F"
    assert of_readings(given, 1, "°C", "minus other", (72.0, 72.0, 72.0), "K") == "(0.5 + (-1.0) + 1.0) K"


def test_the_reckoner_itself() -> None:
    # By hand.
    for text, value in (
        ("2 + 3 × 4", 14), ("(2 + 3) × 4", 20), ("8 ÷ 4 ÷ 2", 1), ("7 − (-2)", 9), ("50 % × 8 cfm", 4), ("√(3² + 4²)", 5),
        ("√9 × 2", 6), ("1,200 cfm ÷ 12 ft³/lb × 60 min/h", 6000), ("ln(1 ÷ 0.5)", 0.693147), ("(-2 °F)² − 1", 3),
    ):  # fmt: skip
        assert reckoned(text)[0] == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize("lesson", range(1, 11))
def test_sums_are_written_for_what_is_reckoned(lesson: int) -> None:
    """A kind without one looks everything up; those are named here."""
    looked_up = {
        "wet_bulb_from_relative_humidity", "relative_humidity_from_wet_bulb", "apparatus_dew_point", "saturated_suction_temperature",
        "pressure_at_rest",
    }  # fmt: skip
    for kind in QUESTION_KINDS.values():
        if kind.lesson != lesson or kind.options or kind.name in looked_up or kind.name.startswith("published_"):
            continue
        question = draw(kind, 3, kind.systems[0])
        assert any(question.written_sum(place) for place in range(len(question.solution.steps))), kind.name
