"""A forecast in words: when fauna is safe, how the arms may go, which tests and photos tell most; a band each time, and never a promise."""

from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.numbers import figures, in_a_row, shown, with_unit
from fairtank.simulation.forecast import ArmForecast, Forecast, Parting, Safe, TellingTest
from fairtank.simulation.tank import HIGHEST_PH, MEASURES, READY_MG_L
from fairtank.trial import Plan

COVERS = ("plant_cover", "algae_cover")
CAVEAT = "A picture of what is plausible, not a promise"
DECIDE = (f"Only your own tests decide: put no animals in before ammonia and nitrite both read below {READY_MG_L:g} mg/L N (or show "
          "nothing) on two days in a row, and test again in the first weeks after.")
NEVER_ROSE = ("Where ammonia and nitrite hardly rise, as in a tank with little that gives them off, tests that show nothing say "
              "nothing about the bacteria: they have had nothing to live on, and the first animals would bring more ammonia than they can "
              "deal with. Such a tank is not ready, however early it reads clear.")
MODEL_NOTE = ("The model is small and most of its rates are assumptions, with wide bands because of it. It knows nothing of diseases, of "
              "single species, or of a filter that stops.")
_HARM_MG_L = 0.02  # un-ionised ammonia as N that is taken as harmful to fish in the long run; common practice, no source
_NAMES = {"total_ammonia": "ammonia", "nitrite": "nitrite", "nitrate": "nitrate", "plant_cover": "plants", "algae_cover": "algae"}
_COVERED = {"plant_cover": "of the front picture", "algae_cover": "of the front glass", "carpet_cover": "of the floor"}
_FIRST_CLEAR_D = 2  # clear from the first readings on: nothing was there that bacteria could grow on
_LEAST_NEVER, _MANY_OUTSIDE, _LONG_ENOUGH_D = 0.02, 0.25, 42
SHORT_NOTE = (f"Fewer than {_LONG_ENOUGH_D} days were looked at: nitrite that rises later is not in the sentence about fauna. Ask for more "
              "days before you go by it.")


def headline(forecast: Forecast, plan: Plan) -> str:
    """The one sentence to begin with: from when on fauna may be safe.

    Parameters
    ----------
    forecast : Forecast
        The frozen result.
    plan : Plan
        Of the same trial, for the names of the arms.

    Returns
    -------
    str
        One sentence, or one for each arm where they differ, and what decides.

    References
    ----------
    common_practice: two clear tests in a row (keys from sources.py).
    """
    looks = arm_looks(plan)
    if forecast.are_alike or len({_span(one.safe, forecast.days) for one in forecast.arms}) == 1:
        every = "In every arm n" if len(forecast.arms) > 1 else "N"
        told = [f"{every}{_span(forecast.arms[0].safe, forecast.days)}."]
    else:
        told = [f"In {_named(looks[one.arm])} n{_span(one.safe, forecast.days)}." for one in forecast.arms]
    early = any(one.safe.low_day is not None and one.safe.low_day <= _FIRST_CLEAR_D for one in forecast.arms)
    return " ".join([*told, *([NEVER_ROSE] if early else []), DECIDE])


def _named(look: ArmLook) -> str:
    """The arm within a sentence."""
    return f"arm {look.letter}" if look.is_nameless else f"arm {look.letter} ({shown(look.label)})"


def _span(safe: Safe, days: int) -> str:
    """From which day on, and how often not at all; its first letter is the caller's."""
    share = f"{100 * safe.never_fraction:.0f} %"
    never = f"; in {share} of the courses not within these {days} days" if safe.never_fraction >= _LEAST_NEVER else ""
    if safe.low_day is None:
        return f"o fauna within these {days} days, in nine of ten courses"
    if safe.middle_day is None:
        return f"o fauna within these {days} days in {share} of the courses, and not before day {safe.low_day} in the others"
    if safe.middle_day <= _FIRST_CLEAR_D:
        return "o day for fauna can be told: in half of the courses or more ammonia and nitrite hardly rise at all"
    if safe.high_day is None:
        return f"o fauna before day {safe.low_day} in nearly all courses{never}"
    between = f"nine of ten lie between, half are through by day {safe.middle_day}"
    return f"o fauna before day {safe.low_day}, and in some courses not before day {safe.high_day} ({between}){never}"


def forecast_sentences(forecast: Forecast, plan: Plan) -> tuple[str, ...]:
    """All that is told, in order: what it is, fauna, ammonia, plants and algae, the arms' parting, spread, tests, photos, readings, limits.

    Parameters
    ----------
    forecast : Forecast
        The frozen result.
    plan : Plan
        Of the same trial.

    Returns
    -------
    tuple of str
        Whole sentences.

    References
    ----------
    common_practice (keys from sources.py).
    """
    looks = arm_looks(plan)
    arms = forecast.arms[:1] if forecast.are_alike else forecast.arms
    what = (f"{CAVEAT}: {forecast.members} courses of a small model of your tanks over {forecast.days} days. Each band holds nine in ten "
            "of the courses.")
    told = [what, headline(forecast, plan), *([SHORT_NOTE] if forecast.days < _LONG_ENOUGH_D else []), *fit_sentences(forecast, plan)]
    for one in arms:
        where = "" if len(arms) == 1 else f"In {_named(looks[one.arm])}: "
        told.append(where + _ammonia(one))
        told.append(where + _covers(one, forecast.days))
    told += [parting_sentence(one, looks[one.arm]) for one in forecast.partings]
    told += [*spread_sentences(forecast), *test_sentences(forecast, plan), *photo_sentences(forecast, plan), MODEL_NOTE]
    return tuple(told)


def _ammonia(one: ArmForecast) -> str:
    low, middle, high = one.most_ammonia_mg_l
    band = f"{figures(low)} to {with_unit(figures(high), 'mg/L N')} (middle {figures(middle)})"
    harm = (f"Above about {_HARM_MG_L:g} mg/L N it harms fish; warm water and a high pH raise it." if high > _HARM_MG_L
            else f"That is below the {_HARM_MG_L:g} mg/L N that is taken as harmful to fish in the long run.")
    held = (f" The model holds pH at {HIGHEST_PH:g} at most; it gets there in some courses, and cannot say how far above your tanks go."
            if max(one.bands["ph_high"].high) >= HIGHEST_PH else "")
    return f"At its worst un-ionised ammonia, the part that harms animals, reaches {band} at the day's highest pH. {harm}{held}"


def _covers(one: ArmForecast, days: int) -> str:
    parts = []
    for key in COVERS:
        band = one.bands[key]
        parts.append(f"{_NAMES[key]} cover {_range(band.low[-1], band.high[-1])} {_COVERED[key]}")
    algae = one.bands["algae_cover"]
    worst = max(range(len(algae.high)), key=lambda day: algae.high[day])
    then = _range(algae.low[worst], algae.high[worst])
    return f"On day {days} {parts[0]}, {parts[1]}. Algae may be at their worst around day {worst}: {then}."


def _range(low: float, high: float) -> str:
    """A band of a cover; what the model puts below a twentieth of a percent is nothing that a photo shows."""
    return f"{figures(low) if low >= 0.05 else '0'} to {with_unit(figures(high), '%')}"


def parting_sentence(one: Parting, look: ArmLook) -> str:
    """How far the change alone moves a measure in the model."""
    unit = "percentage points" if MEASURES[one.measure][0] == "%" else MEASURES[one.measure][0]
    low, high = _signed(one.low), _signed(one.high)
    return (f"In the model the change alone moves the cover of {_NAMES[one.measure]} in {_named(look)} by {low} to {high} {unit}, on "
            f"average over days {one.first_day} to {one.last_day}. The model was not made to answer your question; your trial is.")


def _signed(value: float) -> str:
    text = figures(value)
    return f"+{text}" if value > 0 and text.strip("0.") else text


def spread_sentences(forecast: Forecast) -> tuple[str, ...]:
    """The spread of like tanks that is to be expected, and how to plan with it."""
    spread = forecast.spread
    if spread is None:
        return ()
    what = f"in the cover of {_NAMES[spread.measure]}" if spread.measure in COVERS else MEASURES[spread.measure][1]
    middle, high = figures(spread.sd), figures(spread.high)
    unit = "on the logit scale, on which a cover is judged" if spread.scale == "logit" else MEASURES[spread.measure][0]
    return (f"How far tanks set up alike may end up apart, {what}, in the mean over days {spread.first_day} to {spread.last_day}: "
            f"a standard deviation of {middle} ({figures(spread.low)} to {high}) {unit}. That is an assumption of the model; finished "
            f"trials of your own are the better answer. To plan with it: fairtank detect FOLDER --sd {middle}, and once more with "
            f"--sd {high}.",)


def test_sentences(forecast: Forecast, plan: Plan) -> tuple[str, ...]:
    """Which tests are worth taking, by arm."""
    looks, told = arm_looks(plan), []
    for arm in dict.fromkeys(one.arm for one in forecast.tests):
        tests = [one for one in forecast.tests if one.arm == arm]
        where = "" if forecast.are_alike else f" in {_named(looks[arm])}"
        told.append(f"Tests that would tell most about the safe day{where}: {in_a_row([_test(one) for one in tests])}. They choose "
                    "among the courses; before animals go in, test on two days whatever the forecast says.")
    return tuple(told)


def _test(one: TellingTest) -> str:
    return f"{_NAMES[one.measure]} on day {one.day} (takes away about {100 * one.narrowed_fraction:.0f} % of the doubt)"


def photo_sentences(forecast: Forecast, plan: Plan) -> tuple[str, ...]:
    """Between which days photos tell most, by arm."""
    looks, told = arm_looks(plan), []
    for arm in dict.fromkeys(one.arm for one in forecast.photos):
        where = "" if forecast.are_alike else f" in {_named(looks[arm])}"
        parts = [f"{_NAMES[one.measure]} from day {one.first_day} to {one.last_day} "
                 f"({_range(one.low, one.high)} at the widest)" for one in forecast.photos if one.arm == arm]
        told.append(f"Photos{where} tell most where the band is widest: {in_a_row(parts)}.")
    return tuple(told)


def fit_sentences(forecast: Forecast, plan: Plan) -> tuple[str, ...]:
    """How many readings were weighed in, how far they narrowed the safe day, and whether the model fits this tank at all."""
    fit, looks = forecast.fit, arm_looks(plan)
    if fit is None:
        return ("No readings of ammonia, nitrite, nitrate, phosphate or KH were found: the band stands on the setup alone. Readings in "
                "readings.csv narrow it.",)
    told = [f"{fit.counted} readings were weighed in (one per arm, day and quantity); they leave as many courses as "
            f"{fit.effective_members:.0f} of the {forecast.members}."]
    for one in forecast.arms[:1] if forecast.are_alike else forecast.arms:
        told.append(_narrowed(one, "" if forecast.are_alike else f" in {_named(looks[one.arm])}"))
    if fit.softened < 1:
        told.append(f"They agree with few of the courses, so that they were held back to {100 * fit.softened:.0f} % of their weight; "
                    "with more courses (--members) they count for more.")
    if fit.outside:
        told.append(f"{fit.outside} of the {fit.counted} readings lie outside the band that the courses had before them; by chance about "
                    "one in ten would.")
    if fit.outside > _MANY_OUTSIDE * fit.counted:
        told.append("So many lie outside that the model does not describe these tanks: trust your tests and not this band.")
    return tuple(told)


def _narrowed(one: ArmForecast, where: str) -> str:
    before, after = (" and ".join("some day after the last one" if day is None else f"day {day}" for day in ends)
                     for ends in (one.safe.before or (None, None), (one.safe.low_day, one.safe.high_day)))
    return f"Without them the safe day{where} lay between {before}, with them between {after}."
