"""Findings of every grade about one invented question, for what may be said of each."""

from dataclasses import replace

from tests.publish.invented_trials import finding

from fairtank.finding import Natural

_GRADES = {
    "open": {},
    "matters": {"estimate": -1.2, "low": -1.8, "high": -0.6, "natural": Natural(12.0, 4.0, 2.2, 7.0, "%"), "p_value": 0.004},
    "differs": {"estimate": -0.8, "low": -1.4, "high": -0.2, "natural": Natural(12.0, 5.8, 3.2, 10.0, "%"), "p_value": 0.02},
    "alike": {"estimate": 0.02, "low": -0.2, "high": 0.24, "natural": Natural(12.0, 12.2, 10.0, 14.8, "%"), "p_value": 0.8},
    "alone": {"low": None, "high": None, "df": None, "p_value": None, "shuffle_p": None, "basis": "none", "n_reference": 1, "n_changed": 1,
              "tipping_spread": 0.148, "natural": Natural(12.0, 8.3, None, None, "%")},
    "spoilt": {"low": None, "high": None, "estimate": None, "natural": None, "p_value": None, "spoilt_reason": "a heater failed"},
}


def graded(grade, **more):
    """The primary finding of a grade: less algae cover under a dark break, and a secondary one that is open."""
    primary = finding(grade=grade, **{**_GRADES[grade], **more})
    secondary = finding(measure="plant_cover", title="Plant cover", role="secondary", margin=None, estimate=0.1, low=-0.4, high=0.6,
                        natural=Natural(30.0, 32.1, 22.3, 43.9, "%"), holm_p=0.7, family=1)
    return primary, secondary


def graded_german(grade):
    """The same with German names of the arms."""
    return tuple(replace(one, reference_label="8 h am Stück", changed_label="Mittagspause") for one in graded(grade))
