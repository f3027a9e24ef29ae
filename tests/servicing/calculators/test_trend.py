"""Trend calculators against certified and textbook values, and what they refuse."""

from typing import Any

import pytest

# NIST StRD, Norris
NORRIS_X = [
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0,
    447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3,
    229.2, 669.1, 448.9, 0.5,
]  # fmt: skip
NORRIS_Y = [
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3,
    448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6,
    228.9, 668.4, 449.2, 0.2,
]  # fmt: skip
# J. Little, College of the Holy Cross
LITTLE = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]
# NIST/SEMATECH e-Handbook 6.3.2.3
CUSUM = [
    324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600, 324.625, 325.150,
    328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350,
]  # fmt: skip
HIGH = [0, 0, 0, 0, 0.0325, 0, 0, 0, 0, 0, 0, 0, 3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035]
# NIST/SEMATECH e-Handbook 6.3.2.4
EWMA = [
    52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4,
    53.6, 52.1,
]  # fmt: skip
# Freireich 1963, arm with 6-MP
EVENTS = [6, 6, 6, 7, 10, 13, 16, 22, 23]
CENSORED = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]


def test_norris_comes_out_as_certified(ask: Any) -> None:
    answer = ask("trend/least-squares", {"regressors": [[x] for x in NORRIS_X], "observed": NORRIS_Y})
    intercept, slope = answer["coefficients"]
    assert intercept["value"] == pytest.approx(-0.262323073774029, rel=1e-13)
    assert intercept["standard_error"] == pytest.approx(0.232818234301152, rel=1e-13)
    assert slope["value"] == pytest.approx(1.00211681802045, rel=1e-13)
    assert slope["standard_error"] == pytest.approx(0.429796848199937e-3, rel=1e-13)
    assert answer["residual_sd"] == pytest.approx(0.884796396144373, rel=1e-13)
    assert answer["r_squared"] == pytest.approx(0.999993745883712, rel=1e-13)
    assert answer["f_statistic"] == pytest.approx(5436385.54079785, rel=1e-12)
    assert (answer["degrees_of_freedom"], slope["low"] < slope["value"] < slope["high"]) == (34, True)


def test_a_line_through_the_origin_comes_out_as_certified(ask: Any) -> None:
    # NIST StRD, NoInt1
    body = {"regressors": [[x] for x in range(60, 71)], "observed": list(range(130, 141)), "intercept": False}
    (slope,) = ask("trend/least-squares", body)["coefficients"]
    assert slope["value"] == pytest.approx(2.07438016528926, rel=1e-13)
    assert slope["standard_error"] == pytest.approx(0.0165289256198347, rel=1e-13)


def test_slope_and_rank_test_come_out_as_printed(ask: Any) -> None:
    answer = ask("trend/rank", {"times": list(range(1, 15)), "values": LITTLE})
    assert (answer["score"], answer["variance"]) == (54, pytest.approx(332.6667, abs=5e-5))
    assert answer["z"] == pytest.approx(2.9058, abs=5e-5)
    assert answer["probability"] == pytest.approx(0.003663, abs=5e-7)
    assert answer["tau_a"] == pytest.approx(0.593407, abs=5e-7)
    assert answer["tau_b"] == pytest.approx(0.596694, abs=5e-7)
    assert answer["slope"] == pytest.approx(0.566667, abs=5e-7)
    assert answer["intercept"] == pytest.approx(11.40, abs=5e-3)
    assert (answer["low"], answer["high"]) == (pytest.approx(0.3250, abs=5e-5), pytest.approx(0.8667, abs=5e-5))


def test_the_cusum_comes_out_as_tabulated(ask: Any) -> None:
    answer = ask("trend/cusum", {"values": CUSUM, "target": 325, "allowance": 0.3175, "decision": 4.1959})
    assert answer["high"] == pytest.approx(HIGH, abs=5e-5)
    assert answer["low"][:9] == pytest.approx([0, 0.0075, 0, 0.3325, 0, 0, 0.5575, 0.715, 0.1725], abs=5e-5)
    assert answer["cumulative"][-1] == pytest.approx(19.075, abs=5e-4)
    assert answer["first_signal"] == 14


def test_a_chart_without_a_signal_says_null(ask: Any) -> None:
    assert ask("trend/cusum", {"values": [1, 1], "target": 1, "allowance": 0, "decision": 1})["first_signal"] is None


def test_run_lengths_come_out_as_tabulated(ask: Any) -> None:
    # Montgomery (from memory): k = 0.5, h = 5
    for shift, expected, tolerance in ((0, 465, 0.5), (1, 10.4, 0.05)):
        answer = ask("trend/cusum-run-length", {"allowance": 0.5, "decision": 5, "shift": shift})
        assert answer["run_length"] == pytest.approx(expected, abs=tolerance)


def test_the_moving_average_comes_out_as_tabulated(ask: Any) -> None:
    answer = ask("trend/ewma", {"values": EWMA, "target": 50, "sd": 2.0539, "weight": 0.3})
    assert answer["smoothed"][:5] == pytest.approx([50.60, 49.52, 50.564, 50.1848, 50.1594], abs=5e-5)
    assert answer["smoothed"][-1] == pytest.approx(51.9882, abs=5e-5)
    assert answer["upper_asymptote"] == pytest.approx(52.5884, abs=5e-5)
    # printed 47.4115, from a factor rounded to .4201; as far below the target as the upper limit is above it
    assert answer["lower_asymptote"] == pytest.approx(100 - 52.5884, abs=5e-5)
    assert answer["upper"][:3] == pytest.approx([51.8485, 52.2564, 52.4314], abs=5e-5)
    assert answer["first_signal"] is None


def test_the_level_of_the_nile_is_followed(ask: Any) -> None:
    # Durbin and Koopman (variances from memory), first values of the Nile 1871-1874
    body = {"values": [1120, 1160, 963, 1210], "observation_variance": 15099, "level_variance": 1469.1}
    answer = ask("trend/local-level", body)
    assert answer["predicted"][1:4] == pytest.approx([1118.3115, 1140.1084, 1072.3160], abs=5e-5)
    assert answer["predicted_variance"][1:4] == pytest.approx([16545.336, 9363.658, 7248.597], abs=5e-4)
    assert answer["innovation"] == pytest.approx([1120, 41.6885, -177.1084, 137.6840], abs=5e-5)
    assert answer["steady_variance"] == pytest.approx(5501.2579, abs=5e-5)
    assert answer["steady_gain"] == pytest.approx(0.267048, abs=5e-7)
    assert answer["basis"]["estimated"] == []


def test_variances_that_are_not_told_are_fitted_and_named(ask: Any) -> None:
    answer = ask("trend/local-level", {"values": [1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140]})
    assert answer["basis"]["estimated"] == ["observation_variance", "level_variance"]
    assert answer["observation_variance"] > 0
    one = ask("trend/local-level", {"values": [5], "observation_variance": 1, "level_variance": 1})
    assert one["diffuse_log_likelihood"] is None


def test_survival_comes_out_as_in_the_textbook(ask: Any) -> None:
    body = {"durations": EVENTS + CENSORED, "failed": [True] * len(EVENTS) + [False] * len(CENSORED)}
    answer = ask("trend/survival", body)
    rows = [(row["time"], row["at_risk"], row["events"], row["survival"]) for row in answer["curve"]]
    assert rows[0] == (6, 21, 3, pytest.approx(0.8571, abs=5e-5))
    assert rows[-1] == (23, 6, 1, pytest.approx(0.4482, abs=5e-5))
    assert answer["curve"][0]["standard_error"] == pytest.approx(0.0764, abs=5e-5)
    assert (answer["curve"][0]["low"], answer["curve"][0]["high"]) == (
        pytest.approx(0.6197, abs=5e-5),
        pytest.approx(0.9516, abs=5e-5),
    )
    assert answer["median"] == 23
    assert ask("trend/survival", {"durations": [1, 2], "failed": [False, False]})["median"] is None


REFUSALS = [
    (
        "trend/least-squares",
        {"regressors": [[1], [1, 2]], "observed": [1, 2], "confidence": 1},
        {("regressors", "shape"), ("confidence", "out_of_range")},
    ),
    ("trend/least-squares", {"regressors": [[1], [2]], "observed": [1, 2]}, {("observed", "too_few")}),
    ("trend/rank", {"times": [1, 1, 1], "values": [1, 2]}, {("values", "shape"), ("times", "one_time")}),
    ("trend/rank", {"times": [1], "values": [1]}, {("times", "too_few"), ("times", "one_time")}),
    (
        "trend/cusum",
        {"values": [1], "target": 0, "allowance": -1, "decision": 0},
        {("allowance", "negative"), ("decision", "not_positive")},
    ),
    (
        "trend/cusum-run-length",
        {"allowance": -1, "decision": 0, "shift": 0},
        {("allowance", "negative"), ("decision", "not_positive")},
    ),
    (
        "trend/ewma",
        {"values": [1], "target": 0, "sd": 0, "weight": 2, "width": 0},
        {("sd", "not_positive"), ("weight", "out_of_range"), ("width", "not_positive")},
    ),
    ("trend/local-level", {"values": [1, 2], "level_variance": 1}, {("observation_variance", "required")}),
    (
        "trend/local-level",
        {"values": [1, 2], "observation_variance": 0, "level_variance": -1, "first_variance": -1},
        {("observation_variance", "not_positive"), ("level_variance", "negative"), ("first_variance", "negative")},
    ),
    (
        "trend/local-level",
        {"values": [1, 2], "observation_variance": 1, "level_variance": 1, "gaps": [1]},
        {("gaps", "shape")},
    ),
    (
        "trend/survival",
        {"durations": [0, 1], "failed": [True], "confidence": 2},
        {("durations.0", "not_positive"), ("failed", "shape"), ("confidence", "out_of_range")},
    ),
]


@pytest.mark.parametrize(("path", "body", "faults"), REFUSALS, ids=[refusal[0] for refusal in REFUSALS])
def test_impossible_figures_are_refused_field_by_field(refused: Any, path: str, body: Any, faults: Any) -> None:
    assert refused(path, body) == faults


@pytest.mark.parametrize("number", ["1", True, None, [1]])
def test_only_numbers_are_numbers(refused: Any, number: Any) -> None:
    faults = refused("trend/cusum-run-length", {"allowance": number, "decision": 5, "shift": 0}, 400)
    assert {field for field, _ in faults} == {"allowance"}
