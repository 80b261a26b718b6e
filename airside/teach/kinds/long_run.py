"""Questions of lesson 10: a baseline, how well it fits, the change against it, and a season by temperature bins."""

from __future__ import annotations

import math

import numpy as np

from airside.compare.baseline import Terms, cv_rmse, nmbe
from airside.compare.season import Bins, Season
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem

GUIDELINE = "ASHRAE Guideline 14 (from memory)"
OPTION_B = "IPMVP, Option B (from memory)"
KILO = 1000.0
HOUR = 3600.0


# -- the baseline ------------------------------------------------------------------------------------


def _predicted_at(values: Values, wetter: float, hotter: float) -> float:
    """The library's model at a distance from its middle [W]."""
    terms = Terms(("return_wet_bulb", "outdoor_dry_bulb"), {}, {}, np.array([17.0, 30.0]))
    columns = {
        "total": np.zeros(1), "return_wet_bulb": np.array([17.0 + wetter]), "outdoor_dry_bulb": np.array([30.0 + hotter])
    }  # fmt: skip
    slopes = np.array([values["at_mean"], values["rise"] / values["one"], -values["fall"] / values["one"]])
    return float((terms.design(columns) @ slopes)[0])


def _predicted(values: Values) -> Solution:
    middle = values["at_mean"]
    wet, dry = (
        _predicted_at(values, values["wetter"], 0.0) - middle,
        middle - _predicted_at(values, 0.0, values["hotter"]),
    )
    found = _predicted_at(values, values["wetter"], values["hotter"])
    return Solution(found, (
        Step("The wetter return adds", wet, "capacity", written="{rise} × {wetter} ÷ {one}"),
        Step("The hotter outdoor air takes away", dry, "capacity", written="{fall} × {hotter} ÷ {one}"),
        Step("Middle, plus the first, less the second", found, "capacity", written="{at_mean} + {-2} − {-1}"),
    ))  # fmt: skip


def _change(values: Values) -> Solution:
    change = values["measured"] / values["predicted"] - 1
    return Solution(change, (
        Step("Measured less predicted", values["measured"] - values["predicted"], "capacity", written="{measured} − {predicted}"),
        Step("Measured over predicted, less one", change, "percentage", written="{measured} ÷ {predicted} − 1"),
    ))  # fmt: skip


# -- how well it fits --------------------------------------------------------------------------------


def _kilowatts(values: Values) -> np.ndarray:
    return np.array(values["residuals"]) / KILO


def _freedom(values: Values) -> int:
    return len(values["residuals"]) - round(float(values["fitted"]))


def _squares(values: Values) -> float:
    return float(_kilowatts(values) @ _kilowatts(values))


def _cv(values: Values) -> Solution:
    freedom, squares = _freedom(values), _squares(values)
    found = cv_rmse(np.array(values["residuals"]), values["mean"], freedom)
    written = " + ".join(f"{{residuals:{i}}}²" for i in range(1, 7))
    return Solution(found, (
        Step("Each residual in kW times itself, added up", squares, "fraction", (4, 4), written=written),
        Step("Over the hours less the fitted numbers", squares / freedom, "fraction", (5, 5), written="{-1} ÷ (6 − {fitted})"),
        Step("Root of that, back in kW", math.sqrt(squares / freedom) * KILO, "power", (3, 3), written="√{-1}"),
        Step("Over the mean power", found, "percentage", written="{-1} ÷ {mean}"),
    ))  # fmt: skip


def _sum(values: Values) -> float:
    return float(np.sum(values["residuals"]))


def _bias(values: Values) -> Solution:
    freedom = _freedom(values)
    found = nmbe(np.array(values["residuals"]), values["mean"], freedom)
    return Solution(found, (
        Step("Residuals added up, with their signs", _sum(values), "power", written="{residuals:total}"),
        Step("Over the hours less the fitted numbers", _sum(values) / freedom, "power", (3, 3), written="{-1} ÷ (6 − {fitted})"),
        Step("Over the mean power", found, "percentage", written="{-1} ÷ {mean}"),
    ))  # fmt: skip


def _magnitudes(values: Values) -> float:
    return float(np.abs(values["residuals"]).sum() / _freedom(values) / values["mean"])


def _r_squared(values: Values) -> Solution:
    ratio = values["left"] / values["spread"]
    return Solution(1 - ratio**2, (
        Step("Scatter about the baseline, over scatter about the mean", ratio, "fraction", written="{left} ÷ {spread}"),
        Step("That, times itself: what the baseline leaves unexplained", ratio**2, "fraction", written="{-1} × {-1}"),
        Step("The rest is explained", 1 - ratio**2, "fraction", written="1 − {-1}"),
    ))  # fmt: skip


# -- a season ----------------------------------------------------------------------------------------

BINS = ("mild", "warm", "hot")


def _season(values: Values) -> tuple[Season, np.ndarray]:
    """Three bins that the baseline has seen and one that it has not, and the capacity in each [W]."""
    hours = np.array([*(values[f"hours_{n}"] for n in BINS), values["hours_outside"]]) / HOUR
    bins = Bins("a season", np.array([24.0, 29.0, 34.0, 39.0]), hours)
    inside = bins.dry_bulb <= 35.0
    capacity = np.array([*(values[f"capacity_{n}"] for n in BINS), values["capacity_hot"]])
    return Season(bins, inside, (22.0, 35.0), float(hours[~inside].sum()), None), capacity


def _heat(values: Values) -> float:
    season, capacity = _season(values)
    return float(HOUR * (season.bins.hours[season.inside] @ capacity[season.inside]))


def _of_all_bins(values: Values, units: UnitSystem) -> float:
    season, capacity = _season(values)
    return float(HOUR * (season.bins.hours @ capacity))


def _plain_mean(values: Values, units: UnitSystem) -> float:
    season, capacity = _season(values)
    return float(HOUR * season.hours * capacity[season.inside].mean())


def _bins(values: Values) -> Solution:
    def heat(name: str) -> Step:
        product = f"{{hours_{name}}} × {{capacity_{name}}}"
        value = float(values[f"hours_{name}"] * values[f"capacity_{name}"])
        return Step(
            f"Heat of the {name} bin: hours times capacity", value, "heat", written=(f"{product} ÷ 1,000", product)
        )

    return Solution(_heat(values), (
        *(heat(n) for n in BINS),
        Step("All three; the hours that the baseline has not seen stay apart", _heat(values), "heat", written="{-3} + {-2} + {-1}"),
    ))  # fmt: skip


def _saved(values: Values) -> float:
    return float(values["energy"] * (1 - (1 - values["fall"]) / (1 + values["gain"])))


def _same_heat(values: Values) -> Solution:
    power, hours = 1 - values["fall"], 1 / (1 + values["gain"])
    return Solution(_saved(values), (
        Step("Power, after over before", power, "fraction", written="1 − {fall:fraction}"),
        Step("Hours of running for the same heat, after over before", hours, "fraction", written="1 ÷ (1 + {gain:fraction})"),
        Step("Energy after the work", values["energy"] * power * hours, "electric_energy", written="{energy} × {-2} × {-1}"),
        Step("Energy saved", _saved(values), "electric_energy", written="{energy} − {-1}"),
    ))  # fmt: skip


def _capacity(name: str, low: float, high: float) -> Parameter:
    return Parameter(name, "capacity", low, high, (500.0, 0.1), exact=True)


FITTED = Parameter("fitted", "count", 2.0, 3.0, (1.0, 1.0), exact=True)
MEAN = Parameter("mean", "power", 2400.0, 3800.0, (0.1, 0.1), exact=True)

LONG_RUN = (
    QuestionKind(
        name="predicted_by_the_baseline",
        lesson=10,
        title="What the baseline predicts",
        ask="The baseline of a tea house says: {at_mean} at the mean conditions of the before period. For each {one} more of return wet bulb the capacity rises "
        "by {rise}. For each {one} more outdoors it falls by {fall}. On a day after the work the return wet bulb is {wetter} above that mean, and the outdoor "
        "air {hotter} above it. What does the baseline predict?",
        kind="capacity",
        parameters=(
            Parameter("at_mean", "capacity", 9.0e3, 15.0e3, (500.0, 0.2), exact=True),
            # One degree, in either system.
            Parameter("one", "temperature_difference", 0.5, 1.1, (1.0, 1.0), exact=True),
            Parameter("rise", "capacity", 120.0, 450.0, (50.0, 0.02), exact=True),
            Parameter("fall", "capacity", 60.0, 250.0, (50.0, 0.02), exact=True),
            Parameter("wetter", "temperature_difference", 0.5, 2.5, (0.5, 0.5), exact=True),
            Parameter("hotter", "temperature_difference", 2.0, 6.0, (1.0, 0.5), exact=True),
        ),
        solve=_predicted,
        limits=(7.0e3, 17.0e3),
        hints=(
            "Begin at the middle, and go two steps: one for the wet bulb, one for the outdoor air.",
            "Each step is so much for one degree, times the degrees.",
            "The wet bulb adds. The outdoor air takes away.",
        ),
        slips=(
            Slip("outdoor air added", lambda v, u: _predicted_at(v, v["wetter"], -v["hotter"]),
                 "You added for the hotter outdoor air. The baseline says that the capacity falls with it: take it off."),
            Slip("wet bulb taken off", lambda v, u: _predicted_at(v, -v["wetter"], v["hotter"]),
                 "You took off for the wetter return. The baseline says that the capacity rises with it: add it."),
            Slip("one degree only", lambda v, u: _predicted_at(v, v["one"], v["one"]),
                 "You took one step of each. The figures are for one degree: multiply by the degrees."),
        ),
        source=OPTION_B,
    ),
    QuestionKind(
        name="change_against_the_baseline",
        lesson=10,
        title="The change against the baseline",
        ask="Before the work a weaving mill's unit gave {before} on average. After it, in hotter weeks, it gives {measured}. At the conditions of these later "
        "weeks the baseline predicts {predicted}. What is the change that belongs to the work?",
        kind="percentage",
        parameters=(_capacity("before", 10.0e3, 15.0e3), _capacity("measured", 10.0e3, 17.0e3), _capacity("predicted", 9.0e3, 14.0e3)),
        solve=_change,
        limits=(0.03, 0.35),
        hints=(
            "With what would the unit have given, unchanged, in these weeks? That is what the baseline says.",
            "Set the measured capacity against that one.",
        ),
        slips=(
            Slip("raw change", lambda v, u: v["measured"] / v["before"] - 1,
                 "You set it against the mean before the work. The weather was another: set it against what the baseline predicts."),
            Slip("weather alone", lambda v, u: v["predicted"] / v["before"] - 1,
                 "That is what the weather alone did. The work is what goes beyond it."),
            Slip("over the measured", lambda v, u: 1 - v["predicted"] / v["measured"],
                 "You divided by the measured capacity. A change is set against what would have been: the prediction."),
        ),
        possible=lambda v: 0.85 < v["predicted"] / v["before"] < 0.97,
        source=f"{OPTION_B}; {GUIDELINE}",
    ),
    QuestionKind(
        name="cv_rmse_of_a_baseline",
        lesson=10,
        title="How widely the baseline misses",
        ask="A baseline of power has {fitted} fitted numbers. In six hours the measured power, less what the baseline says, is {residuals}. The mean measured "
        "power is {mean}. What is the CV(RMSE)?",
        kind="percentage",
        parameters=(
            FITTED, Parameter("residuals", "power", -30.0, 30.0, (0.01, 0.01), count=6, spread=240.0, exact=True), MEAN,
        ),
        solve=_cv,
        limits=(0.015, 0.15),
        hints=(
            "Four steps: square, mean, root, over the mean.",
            "The mean of the squares is over the hours less the fitted numbers, not over the hours.",
        ),
        slips=(
            Slip("over all hours", lambda v, u: cv_rmse(np.array(v["residuals"]), v["mean"], 6),
                 "You divided by the hours. The fitted numbers have already bent the baseline towards the readings: divide by the hours less those."),
            Slip("root forgotten", lambda v, u: _squares(v) / _freedom(v) / (v["mean"] / KILO),
                 "You forgot the root. Squares have been added up, so the root brings it back to kW."),
            Slip("without squares", lambda v, u: _magnitudes(v),
                 "You took the misses without their signs. The R and the S in the name are for the root and the squares."),
        ),
        # Least squares leaves residuals that nearly cancel.
        possible=lambda v: abs(_sum(v)) < 95,
        source=GUIDELINE,
    ),
    QuestionKind(
        name="nmbe_of_a_baseline",
        lesson=10,
        title="Does the baseline lie to one side?",
        ask="A baseline with {fitted} fitted numbers is held against six hours of another week, in which nothing was changed. Measured power less what the baseline "
        "says: {residuals}. The mean measured power is {mean}. What is the NMBE, as the Guideline defines it?",
        kind="percentage",
        parameters=(
            FITTED, Parameter("residuals", "power", -120.0, 120.0, (0.01, 0.01), count=6, spread=100.0, exact=True), MEAN,
        ),
        solve=_bias,
        limits=(-0.12, 0.12),
        hints=(
            "Add up with the signs: what lies above and what lies below cancel.",
            "Then over the hours less the fitted numbers, and over the mean power.",
        ),
        slips=(
            Slip("signs dropped", lambda v, u: _magnitudes(v),
                 "You dropped the signs. NMBE asks whether the baseline lies to one side, so ups and downs must cancel."),
            Slip("over all hours", lambda v, u: nmbe(np.array(v["residuals"]), v["mean"], 6),
                 "You divided by the hours. That is the plain mean bias. The Guideline's NMBE is over the hours less the fitted numbers, here too."),
            Slip("sum over the mean", lambda v, u: _sum(v) / v["mean"],
                 "That is the whole sum over the mean power. Divide it by the hours less the fitted numbers first."),
        ),
        possible=lambda v: 60 < abs(_sum(v)) < 900 and min(v["residuals"]) < 0 < max(v["residuals"]),
        source=GUIDELINE,
        is_difference=True,
    ),
    QuestionKind(
        name="r_squared_of_a_baseline",
        lesson=10,
        title="How much the baseline explains",
        ask="About their mean, the hourly capacities of a unit scatter by {spread} (standard deviation). About the baseline they scatter by {left}. What is the R² of "
        "the baseline?",
        kind="fraction",
        parameters=(
            Parameter("spread", "capacity", 500.0, 1500.0, (100.0, 0.05), exact=True),
            Parameter("left", "capacity", 150.0, 900.0, (100.0, 0.05), exact=True),
        ),
        solve=_r_squared,
        limits=(0.3, 0.98),
        hints=(
            "R² says what part of the scatter, squared, the baseline explains.",
            "First the part that it leaves: scatter about the baseline over scatter about the mean, times itself.",
        ),
        slips=(
            Slip("not squared", lambda v, u: 1 - v["left"] / v["spread"],
                 "You forgot to square the ratio. That is the small 2 in R²."),
            Slip("what is left", lambda v, u: (v["left"] / v["spread"]) ** 2,
                 "That is the part that the baseline leaves unexplained. R² is the rest."),
            Slip("ratio alone", lambda v, u: v["left"] / v["spread"],
                 "That is the ratio of the two scatters. Square it, and take it from one."),
        ),
        decimals=(2, 2),
        source=GUIDELINE,
    ),
    QuestionKind(
        name="season_heat_by_bins",
        lesson=10,
        title="The heat of a season",
        ask="A summer of a tea house by outdoor temperature: {hours_mild} in the mild bin, {hours_warm} in the warm one, {hours_hot} in the hot one. The baseline gives "
        "{capacity_mild}, {capacity_warm} and {capacity_hot}. Another {hours_outside} are hotter than any hour that the baseline has seen. What heat does the "
        "baseline vouch for?",
        kind="heat",
        parameters=(
            Parameter("hours_mild", "hours", 150 * HOUR, 320 * HOUR, (10.0, 10.0), exact=True),
            Parameter("hours_warm", "hours", 100 * HOUR, 240 * HOUR, (10.0, 10.0), exact=True),
            Parameter("hours_hot", "hours", 40 * HOUR, 110 * HOUR, (10.0, 10.0), exact=True),
            Parameter("hours_outside", "hours", 20 * HOUR, 60 * HOUR, (10.0, 10.0), exact=True),
            _capacity("capacity_mild", 11.0e3, 14.0e3), _capacity("capacity_warm", 9.5e3, 12.0e3), _capacity("capacity_hot", 8.0e3, 10.0e3),
        ),
        solve=_bins,
        limits=(8.0e9, 33.0e9),
        hints=(
            "Each bin by itself: hours times capacity. Then add up.",
            "The baseline has not seen the hottest hours. What it has not seen, it does not vouch for.",
        ),
        slips=(
            Slip("hottest hours too", _of_all_bins,
                 "You took the hottest hours in, at the hot bin's capacity. The baseline has not seen them: they are counted and set apart."),
            Slip("plain mean", _plain_mean,
                 "You multiplied all hours by the plain mean of the capacities. The bins have different hours: take each by itself."),
            Slip("mild bin alone", lambda v, u: v["hours_mild"] * v["capacity_mild"],
                 "That is one bin. Add the other two."),
        ),
        possible=lambda v: v["capacity_mild"] > v["capacity_warm"] > v["capacity_hot"],
        source="ASHRAE Handbook—Fundamentals (2017) ch. 19: bin method (from memory)",
    ),
    QuestionKind(
        name="energy_saved_for_the_same_heat",
        lesson=10,
        title="Energy for the same heat",
        ask="Before the work a mill's unit used {energy} in a season. Now its capacity is {gain} higher and its power {fall} lower, at the same conditions. The rooms "
        "need the same heat taken out as before. How much energy is saved in a season?",
        kind="electric_energy",
        parameters=(
            Parameter("energy", "electric_energy", 1500 * 3.6e6, 4000 * 3.6e6, (50.0, 50.0), exact=True),
            Parameter("gain", "percentage", 0.05, 0.25, (1.0, 1.0), exact=True),
            Parameter("fall", "percentage", 0.02, 0.10, (1.0, 1.0), exact=True),
        ),
        solve=_same_heat,
        limits=(100 * 3.6e6, 1300 * 3.6e6),
        hints=(
            "Two things save: each hour costs less, and fewer hours are needed.",
            "Hours of running go with one over the capacity. Energy is power times hours.",
        ),
        slips=(
            Slip("same hours", lambda v, u: v["energy"] * v["fall"],
                 "You left the hours of running as they were. A unit that cools more is done sooner."),
            Slip("power forgotten", lambda v, u: v["energy"] * (1 - 1 / (1 + v["gain"])),
                 "You counted the shorter running alone. Each hour costs less, too."),
            Slip("percents added", lambda v, u: v["energy"] * (v["gain"] + v["fall"]),
                 "You added the two percents. A gain of a tenth in capacity saves an eleventh of the hours: one over one plus the gain."),
        ),
        source=OPTION_B,
    ),
)  # fmt: skip
