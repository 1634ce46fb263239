"""Several trial folders taken together: each read and judged, the answers to one question pooled, drawn and written."""

from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import asdict, dataclass, replace
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any

from fairtank import __version__
from fairtank.errors import InputError, JobError, plain_reason
from fairtank.finding import Finding
from fairtank.inference.earlier.borrowing import window_class_of
from fairtank.inference.intervals.student import quantile
from fairtank.inference.looks import STOPPED_EARLY, goes_on
from fairtank.inference.pooling import pool, trial_result
from fairtank.publish.calc_chart import file_svg
from fairtank.publish.numbers import NO_BREAK, in_a_row, shown
from fairtank.publish.phrases import title_words
from fairtank.publish.pool_chart import pool_chart
from fairtank.publish.pool_facts import lot_words
from fairtank.publish.pool_reasons import Question, other_question_words
from fairtank.publish.pool_words import PoolStory, effect_words, headline, sentences
from fairtank.publish.pooled_report import pooled_document, write_pooled_report
from fairtank.publish.sentences import verdict_words
from fairtank.records.exporters.json_text import json_text
from fairtank.records.folder.digest import digest_of_files
from fairtank.records.services.kits import LeftOutTrial, Watched, judged_or_why, kits_judged, unwatched
from fairtank.records.services.pool_kits import facts_of, folders_in, packed_in, packed_judged
from fairtank.records.services.trials import JudgedTrial, place_check, result_write

MOST_ALIKE, KEPT_ALIKE = 20, 14  # letters in which all names may begin alike, and how many of them are kept where there are more
BREAKS = (", ", ": ", "; ")  # where a name falls into parts
POOLED_FILE, TOGETHER_FILE = "pooled.json", "trials-together.svg"


@dataclass(frozen=True, eq=False)
class FoundTrial:
    """A folder that was read and judged, the finding that answers the question, and the name by which the trial is shown."""

    folder: str
    judged: JudgedTrial
    finding: Finding
    name: str = ""


@dataclass(frozen=True, eq=False)
class PooledTrials:
    """Trials taken together.

    story: the frozen result with what words need; None where no trial could be shown. trials: those that are shown, in their order.
    left_out: the other folders with the reason. passed_over: folders without a trial. digest: over the digests of all that are shown.
    chart, report_html, report_pdf: where the picture and the report were written, None where they were not.
    """

    story: PoolStory | None
    trials: tuple[FoundTrial, ...]
    left_out: tuple[LeftOutTrial, ...]
    passed_over: tuple[str, ...]
    digest: str
    chart: Path | None = None
    report_html: Path | None = None
    report_pdf: Path | None = None


def trials_pool(*, root: Path, out: Path | None = None, measure: str | None = None, arm: str | None = None, workers: int | None = None,
                watched: Watched = unwatched) -> PooledTrials:
    """Judge every trial folder inside a folder and pool those that ask one question.

    When `out` is given, pooled.json, a picture and the report (pooled-report.html, pooled-report.pdf) are written.

    Parameters
    ----------
    root : Path
        Holds the trial folders, or such folders packed as ZIP files (kits), or both.
    out : Path or None
        Where results go.
    measure : str or None
        Which primary measure; None for the one that most trials ask about.
    arm : str or None
        Name of the changed arm that is meant in trials with several; None for the name that most trials use.
    workers : int or None
        Processes that measure photos.
    watched : function
        Called with a folder's name while its photos are measured; gives what is told how far that is.

    Returns
    -------
    PooledTrials

    Raises
    ------
    InputError
        If there is no trial folder, no trial asks for that measure or has that arm, or results cannot go there.

    References
    ----------
    paule1982, hartung2001 (keys from sources.py).
    """
    packed = packed_in(root)
    kits, passed_over = folders_in(root, out, bool(packed))
    if out is not None:
        for place in (root, *kits):
            place_check(out, place)
    names = sorted([*(kit.name for kit in kits), *(kit.name for kit in packed)])
    with ExitStack() as unpacked:
        judged, left_out = kits_judged(kits, workers, watched)
        for kit in packed:
            found = judged_or_why(kit.name, partial(packed_judged, kit, unpacked, workers, watched))
            if isinstance(found, LeftOutTrial):
                left_out.append(found)
            else:
                judged.append((kit.name, found))
        judged.sort(key=lambda one: names.index(one[0]))
        together = judged_pool(judged=judged, left_out=left_out, measure=measure, arm=arm)
        left_out = sorted(together.left_out, key=lambda one: names.index(one.folder))
        together = replace(together, passed_over=passed_over, left_out=tuple(left_out))
        return together if out is None else _written(together, out)


def _written(together: PooledTrials, out: Path) -> PooledTrials:
    """The same, with its files written."""
    if together.story is not None:
        result_write(out / TOGETHER_FILE, file_svg(pool_chart(together.story)))
        html, pdf = pooled_report_write(together=together, out=out)
        together = replace(together, chart=out / TOGETHER_FILE, report_html=html, report_pdf=pdf)
    result_write(out / POOLED_FILE, pooled_json(together))
    return together


def pooled_report_write(*, together: PooledTrials, out: Path) -> tuple[Path, Path]:
    """Write pooled-report.html and pooled-report.pdf of trials that were taken together.

    Parameters
    ----------
    together : PooledTrials
        With a story.
    out : Path
        The folder.

    Returns
    -------
    (Path, Path)

    Raises
    ------
    JobError
        If they cannot be written.

    References
    ----------
    iso14289 (keys from sources.py).
    """
    assert together.story is not None
    facts = tuple(facts_of(one.name, one.judged, one.finding) for one in together.trials)
    left_out = [(one.folder, one.reason) for one in together.left_out]
    question = next((one.judged.folder.plan.question for one in together.trials if one.judged.folder.plan.question), "")
    report = pooled_document(together.story, facts, question=question, left_out=left_out, passed_over=together.passed_over,
                             digest=together.digest)
    try:
        return write_pooled_report(report, out)
    except OSError as error:
        raise JobError(f"{out} cannot be written: {plain_reason(error)}. Choose another folder with --out.") from error


def judged_pool(*, judged: Sequence[tuple[str, JudgedTrial]], left_out: Sequence[LeftOutTrial] = (), measure: str | None = None,
                arm: str | None = None, are_named: bool = False) -> PooledTrials:
    """Pool trials that were judged, as far as they ask one question; nothing is written.

    Parameters
    ----------
    judged : sequence of (str, JudgedTrial)
        The name of each, such as that of its folder, and its findings.
    left_out : sequence of LeftOutTrial
        Those that could not be judged.
    measure, arm
        As for `trials_pool`.
    are_named : bool
        Whether the names are what the trials are called; else they are called by their titles.

    Returns
    -------
    PooledTrials

    Raises
    ------
    InputError
        If no trial asks for that measure or has that arm.

    References
    ----------
    paule1982, hartung2001 (keys from sources.py).
    """
    found, others = _of_one_question(judged, measure, arm)
    found, twins = _each_once(found)
    found = [replace(one, name=one.folder) for one in found] if are_named else _named(found)
    return PooledTrials(_story(found), tuple(found), (*left_out, *others, *twins), (),
                        digest_of_files({one.folder: one.judged.folder.digest for one in found}))


# which trials count ---------------------------------------------------------------------------------------------------


def _question(trial: JudgedTrial, finding: Finding) -> Question:
    """What has to be the same: the measure, how it is summed up, on which scale, and over about how long."""
    return Question(finding.measure, finding.summary, finding.scale, window_class_of(trial.folder.plan, finding))


def _primary(judged: JudgedTrial) -> list[Finding]:
    """The primary findings against the reference: one, or one for each changed arm."""
    reference = judged.folder.plan.arm_with("reference").key
    return [one for one in judged.findings if one.role == "primary" and one.reference_arm in ("", reference)]


def _of_one_question(judged: Sequence[tuple[str, JudgedTrial]], measure: str | None,
                     arm: str | None) -> tuple[list[FoundTrial], list[LeftOutTrial]]:
    """The trials that ask the question of most of them, with the finding that answers it, and the others with the reason."""
    left_out = [LeftOutTrial(folder, "It asks for a trend over doses, which is not one difference between two arms.")
                for folder, trial in judged if trial.folder.plan.kind == "ladder"]
    trials = [(folder, trial, _primary(trial)) for folder, trial in judged if trial.folder.plan.kind != "ladder"]
    left_out += [LeftOutTrial(folder, "It goes on; it counts when it is over.") for folder, _, findings in trials
                 if any(map(goes_on, findings))]
    trials = [one for one in trials if not any(map(goes_on, one[2]))]
    asked = [(folder, trial, findings) for folder, trial, findings in trials
             if findings and measure in (None, findings[0].measure)]
    _check_known("measure", measure, [findings[0].measure for *_, findings in trials if findings])
    left_out += [LeftOutTrial(folder, "Its primary measure is another." if findings else "It has no primary finding.")
                  for folder, trial, findings in trials if (folder, trial, findings) not in asked]
    if not asked:
        return [], left_out
    common = Counter(_question(trial, findings[0]) for _, trial, findings in asked if findings[0].estimate is not None) \
        or Counter(_question(trial, findings[0]) for _, trial, findings in asked)
    question = common.most_common(1)[0][0]
    same = [one for one in asked if _question(one[1], one[2][0]) == question]
    left_out += [LeftOutTrial(folder, other_question_words(_question(trial, findings[0]), title_words(findings[0]), question,
                                                           title_words(same[0][2][0])))
                 for folder, trial, findings in asked if _question(trial, findings[0]) != question]
    _check_known("arm", arm, [one.changed_label for *_, findings in same for one in findings], _plain)
    meant = _plain(arm) if arm is not None else _arm_meant(same)
    found = []
    for folder, trial, findings in same:
        chosen = [one for one in findings if len(findings) == 1 or _plain(one.changed_label) == meant]
        if len(chosen) != 1:
            names = in_a_row([f"“{shown(one.changed_label)}”" for one in findings])
            left_out.append(LeftOutTrial(folder, f"It has several changed arms ({names}), and not exactly one of them is called "
                                                 f"“{shown(meant)}”, as in the other trials."))
        elif chosen[0].grade == "spoilt" or chosen[0].estimate is None:
            left_out.append(LeftOutTrial(folder, f"It has no finding to be pooled. {verdict_words(chosen[0]).replace(NO_BREAK, ' ')}"))
        else:
            found.append(FoundTrial(folder, trial, chosen[0]))
    return found, left_out


def _check_known(name: str, given: str | None, known: Sequence[str], plain: Callable[[str], str] = str) -> None:
    """Refuses a name that none of the trials has, naming those that there are."""
    if given is None or not known or plain(given) in map(plain, known):
        return
    names = {plain(one): shown(one) for one in reversed(known)}
    raise InputError(name, given, f"one of those in these trials: {', '.join(sorted(names.values()))}")


def _plain(label: str) -> str:
    """An arm's name without what does not tell two changes apart: capitals, spaces, and the `with` of a trial of two changes."""
    return " ".join(label.split()).casefold().removeprefix("with ")


def _arm_meant(trials: Sequence[tuple[str, JudgedTrial, list[Finding]]]) -> str:
    """The changed arm's name that most trials use; those with one changed arm first."""
    of_one = Counter(_plain(findings[0].changed_label) for *_, findings in trials if len(findings) == 1)
    return (of_one or Counter(_plain(one.changed_label) for *_, findings in trials for one in findings)).most_common(1)[0][0]


def _each_once(found: Sequence[FoundTrial]) -> tuple[list[FoundTrial], list[LeftOutTrial]]:
    """Each trial once: the same files, seal, numbers of the same units, or title and start are one trial."""
    kept: list[FoundTrial] = []
    left_out = []
    for one in found:
        twin = next(((other, why) for other in kept for why in [_sameness(one, other)] if why), None)
        if twin is None:
            kept.append(one)
        else:
            left_out.append(LeftOutTrial(one.folder, f"It is the same trial as {twin[0].folder} ({twin[1]}), which counts once."))
    return kept, left_out


def _sameness(one: FoundTrial, other: FoundTrial) -> str:
    """Why two folders are taken for one trial; empty when they are two."""
    if one.judged.folder.digest == other.judged.folder.digest:
        return "the same files"
    seals = one.judged.folder.seal, other.judged.folder.seal
    if seals[0] is not None and seals[1] is not None and seals[0].entries[0].digest == seals[1].entries[0].digest \
            and seals[0].entries[0].at == seals[1].entries[0].at:
        return "the same seal"
    numbers = [[(unit.unit, unit.z) for unit in trial.finding.units if unit.z is not None] for trial in (one, other)]
    if numbers[0] and numbers[0] == numbers[1]:
        return "the same values in the same tanks"
    plans = one.judged.folder.plan, other.judged.folder.plan
    if plans[0].title and (plans[0].title, plans[0].start) == (plans[1].title, plans[1].start):
        return "the same title and start"
    return ""


def _named(found: Sequence[FoundTrial]) -> list[FoundTrial]:
    """Trials in the order of their starts, by their titles; by title and folder where two share one, by folder where there is none."""
    found = sorted(found, key=lambda one: one.judged.folder.plan.start)
    titles = Counter(shown(one.judged.folder.plan.title) for one in found)
    named = []
    for one in found:
        title = shown(one.judged.folder.plan.title)
        named.append(replace(one, name=one.folder if not title else title if titles[title] == 1 else f"{title} ({one.folder})"))
    return [replace(one, name=name) for one, name in zip(named, _cut_alike([one.name for one in named]), strict=True)]


def _cut_alike(names: Sequence[str]) -> list[str]:
    """Names with a long first part in common cut inside it: cut at the end, as a narrow picture does, they would all read alike.

    >>> _cut_alike(["A dark break at midday in small tanks, spring", "A dark break at midday in small tanks, summer"])
    ['A dark break … spring', 'A dark break … summer']
    """
    if len(names) < 2:
        return list(names)
    same = next((place for place, letters in enumerate(zip(*names, strict=False)) if len(set(letters)) > 1), min(map(len, names)))
    breaks = [names[0].rfind(mark, 0, same) + len(mark) for mark in BREAKS if mark in names[0][:same]]
    alike = names[0][:max(breaks, default=0)]
    if len(alike) <= MOST_ALIKE:
        return list(names)
    opening = alike[:KEPT_ALIKE].rsplit(" ", 1)[0]
    return [f"{opening} … {name[len(alike):]}" for name in names]


# the story -----------------------------------------------------------------------------------------------------------


def _story(found: Sequence[FoundTrial]) -> PoolStory | None:
    """The trials pooled, and what words need besides."""
    if not found:
        return None
    margins = {one.finding.margin for one in found} - {None}
    margin = margins.pop() if len(margins) == 1 else None
    pooled = pool([trial_result(one.name, by_itself(one.finding)) for one in found], margin=margin)
    return PoolStory(pooled, found[0].finding, _middle_level(found), tuple(_remarks(found, margin, len(margins) > 0)))


def by_itself(finding: Finding) -> Finding:
    """A finding of a trial with several changed arms with the interval that it has by itself.

    Its own is wide enough for all comparisons to hold together. Here one of them is taken, chosen by its name, and weighed by its own
    standard error.
    """
    error = dict(finding.facts).get("standard_error")
    if finding.comparisons == 1 or error is None or finding.df is None or finding.estimate is None or finding.low is None:
        return finding
    half = quantile((1 - finding.level) / 2, finding.df) * error
    return replace(finding, low=finding.estimate - half, high=finding.estimate + half)


def _middle_level(found: Sequence[FoundTrial]) -> float | None:
    """Where the reference tanks of the trials stand, in the middle, in two figures: the level at which all covers are told.

    A trial that is alone keeps its own, to the last figure, so that its interval reads as in its own finding.
    """
    counted = [one.finding for one in found if one.finding.low is not None] or [one.finding for one in found]
    levels = [one.natural.reference for one in counted if one.natural is not None and one.summary != "slope"]
    if len(found) == 1 and levels and counted[0].scale == "logit":
        return levels[0]
    return float(f"{median(levels):.{2 if median(levels) < 98 else 3}g}") if levels and counted[0].scale == "logit" else None


def _remarks(found: Sequence[FoundTrial], margin: float | None, differ: bool) -> list[str]:
    """What has to be known about how these trials were put together, in sentences."""
    told = []
    stopped = [one.name for one in found if STOPPED_EARLY in one.finding.tags]
    if stopped:
        told.append(f"Stopped before the last planned day: {in_a_row(stopped)}. Trials that stop on a striking look tend to show too much.")
    if margin is None and len(found) > 1:
        told.append("The trials name different smallest differences that matter, so none is used: only whether there is an effect is "
                    "asked." if differ else "None of the trials names a smallest difference that matters.")
    labels = {_plain(one.finding.changed_label): shown(one.finding.changed_label) for one in found}
    if len(labels) > 1:
        told.append(f"The changed arms have different names ({in_a_row([f'“{label}”' for label in labels.values()])}): whether they are "
                    "the same change is yours to judge.")
    if any(abs(one.finding.level - 0.95) > 1e-9 for one in found):
        told.append("A trial with planned looks is shown with the wider interval of its last look.")
    by_tag: dict[str, list[str]] = {}
    for one in found:
        for tag in (tag for tag in one.finding.tags if tag != STOPPED_EARLY):
            by_tag.setdefault(tag, []).append(one.name)
    if by_tag:
        told.append(f"Said of single trials: {'; '.join(f'{tag} ({in_a_row(names)})' for tag, names in by_tag.items())}.")
    several = [one.name for one in found if one.finding.comparisons > 1]
    if several:
        told.append(f"Of trials with several changed arms ({', '.join(several)}) one comparison is taken, with the interval that it has by "
                    "itself; the trial's own is wider, as all its comparisons have to hold together.")
    return told


def drawn_words(together: PooledTrials) -> str:
    """The caution that goes with the headline where a trial was not drawn by lot; empty where all were."""
    return lot_words([facts_of(one.name, one.judged, one.finding) for one in together.trials])


def pooled_json(together: PooledTrials) -> str:
    """Trials taken together as one JSON object; what is not known is null."""
    story = together.story
    document: dict[str, Any] = {"software": f"fairtank {__version__}", "inputs_digest": together.digest}
    if story is not None:
        first = story.pattern
        document |= {
            "sentence": headline(story), "sentences": [*filter(None, [drawn_words(together)]), *sentences(story)],
            "measure": first.measure, "title": first.title,
            "summary": first.summary, "scale": first.scale, "changed_label": first.changed_label, "reference_level": story.level,
            "pooled": {key: value for key, value in asdict(story.pooled).items() if key != "rows"},
            "trials": [{"folder": one.folder, **asdict(row), "words": effect_words(story, row.estimate, row.low, row.high),
                        "design": one.finding.design, "n": {"reference": one.finding.n_reference, "changed": one.finding.n_changed},
                        "tags": list(one.finding.tags), "inputs_digest": one.judged.folder.digest}
                       for one, row in zip(together.trials, story.pooled.rows, strict=True)],
        }
    document |= {"left_out": [asdict(one) for one in together.left_out], "passed_over": list(together.passed_over),
                 "chart": None if together.chart is None else str(together.chart),
                 "report": None if together.report_html is None else str(together.report_html)}
    return json_text(document)
