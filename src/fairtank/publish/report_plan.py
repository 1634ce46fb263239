"""What was planned: the question, the measures and how each is judged, the seal over all that, and how the lot gave the arms."""

from collections.abc import Sequence
from datetime import timedelta

from fairtank.finding import Finding
from fairtank.publish.arms import ArmLook
from fairtank.publish.blocks import Block, Bullets, Facts, Heading, Table, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.draw_words import drawn_fact, draws_told
from fairtank.publish.methods import margin_words
from fairtank.publish.numbers import plain_number, shown
from fairtank.publish.phrases import title_words, word_of
from fairtank.publish.seal_words import data_words, late_words, time_words
from fairtank.seal import Seal
from fairtank.trial import MeasureChoice, Plan

KIND_WORDS = {
    "side_by_side": "side by side", "run_in": "side by side after a run-in in which all were alike",
    "swap": "swap: the arms change places half-way", "drawn_start": "two tanks, the day of the change drawn by lot",
    "pairs": "neighbours in pairs", "rounds": "repeated rounds", "ladder": "a ladder of doses", "two_changes": "two changes at once",
}
EXPECT_WORDS = {"less": "less under the change", "more": "more under the change", "either": "either direction"}
SUMMARY_SHORT = {"mean": "mean over its days", "change": "mean after the change, less that of the run-in",
                 "swap": "first period less second", "slope": "rise per day", "threshold": "day on which it is reached"}
SCALE_SHORT = {"logit": "log-odds", "log": "logarithm", "identity": "as it is"}
NOT_SEALED = "The plan was not sealed: that it was fixed before the data came cannot be shown."
COVERED = ("The seal covers the design with its days, the arms, which tank has which arm, the measures with how each is judged, and the "
           "planned looks. It does not cover the wording of the question, what was built, or what was written down later.")


def question_blocks(content: ReportContent) -> tuple[Block, ...]:
    """The question and the plan as they were written down, the measures, then the seal."""
    plan = content.folder.plan
    return (plan_facts(plan), measures_table(plan, content.findings), *seal_blocks(content.folder.seal))


def plan_facts(plan: Plan) -> Facts:
    """The plan as pairs of a name and what was written down; empty fields are left out here and named among what was not recorded."""
    last = plan.start + timedelta(days=plan.days)
    pairs = [("The question", plan.question), ("The change", plan.change), ("Compared with", plan.reference),
             ("Why", plan.rationale), ("Repeats", plan.repeats),
             ("Expected", EXPECT_WORDS.get(plan.expect, plan.expect)), ("Design", KIND_WORDS.get(plan.kind, plan.kind)),
             ("Days", f"day 0 is {plan.start.isoformat()}, the last day is {plan.days} ({last.isoformat()})"),
             ("Run-in", f"day 0 to day {plan.run_in_days - 1}" if plan.run_in_days else ""),
             ("Start of the change", _drawn_start(plan)), ("Swap", f"on day {plan.swap_day}" if plan.swap_day else ""),
             ("Wash-out", f"{plan.washout_days} days" if plan.washout_days else ""),
             ("Scored without knowing the arm", "yes" if plan.blinded else "no, or not recorded"),
             ("Planned reading days", ", ".join(str(day) for day in plan.looks.days)), ("Keeper", plan.keeper), ("Place", plan.place)]
    if plan.shared_water:
        pairs.append(("Shared water", "The compartments share their water, so a change that travels with the water reaches all of them."))
    return Facts(tuple((name, shown(text)) for name, text in pairs if shown(text)))


def _drawn_start(plan: Plan) -> str:
    """The day that was drawn and the days it was drawn from; empty in other designs."""
    if plan.start_window is None:
        return ""
    window = f"drawn from day {plan.start_window[0]} to day {plan.start_window[1]}"
    return window if plan.drawn_day is None else f"day {plan.drawn_day}, {window}"


def measures_table(plan: Plan, findings: Sequence[Finding]) -> Table:
    """What was to be judged, and how: one row for each measure of the plan."""
    found = {finding.measure: finding for finding in reversed(findings)}
    rows = tuple(_measure_row(plan, choice, found.get(choice.key)) for choice in plan.measures)
    head = ("What is measured", "Role", f"Each {word_of(plan)}'s number", "Scale", "Days", "Smallest difference that matters")
    return Table("The measures and how each is judged", head, rows, wide=(0, 2, 5))


def _measure_row(plan: Plan, choice: MeasureChoice, found: Finding | None) -> tuple[str, ...]:
    title = title_words(found) if found is not None else shown(choice.title) or shown(choice.key)
    scale = choice.scale or (found.scale if found is not None else "")
    first, last = choice.window or (found.window if found is not None else (0, plan.days))
    margin = "none was fixed" if choice.margin is None else f"{plain_number(choice.margin)} on that scale"
    if found is not None and found.margin is not None and found.margin == choice.margin:
        margin = margin_words(found).partition(": ")[2].removesuffix(".") or margin
    return (title, choice.role, SUMMARY_SHORT.get(choice.summary, choice.summary), SCALE_SHORT.get(scale, scale), f"{first} to {last}",
            margin)


def seal_blocks(seal: Seal | None) -> tuple[Block, ...]:
    """When the plan was sealed and amended, with the codes, and what a seal covers; plainly where there is none."""
    if seal is None:
        return Heading("The seal"), Words(NOT_SEALED)
    rows = tuple(("sealed" if place == 0 else "amended", time_words(one.at), one.code, data_words(one),
                  shown(one.reason) or ("" if place == 0 else "none given")) for place, one in enumerate(seal.entries))
    late = tuple(Words(text) for text in late_words(seal))
    return (Heading("The seal"), Table("The seal of the plan, and its amendments", ("What", "When", "Code", "By then", "Reason"), rows,
                                       wide=(3, 4)), *late, Words(COVERED, "quiet"))


def draw_blocks(content: ReportContent, looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    """The units with their arms and places, and how the lot gave them."""
    plan, draws = content.folder.plan, content.folder.draws
    blocks: list[Block] = [units_table(plan, looks), Words(lot_words(plan))]
    if draws:
        blocks.append(Words(f"The draw on record: {drawn_fact(draws)}"))
    elif plan.drawn:
        blocks.append(Words("There is no record of the draw itself (draw.json): who drew, when and by which procedure was not recorded."))
    told = draws_told(plan, draws)
    return (*blocks, Bullets(tuple(map(shown, told)))) if told else tuple(blocks)


def lot_words(plan: Plan) -> str:
    """Whether the arms were drawn by lot, in one sentence."""
    if not plan.drawn:
        return "The arms were not drawn by lot, or it was not recorded that they were."
    return f"The arms were drawn by lot{f', with seed {plan.seed}' if plan.seed is not None else '; the seed was not recorded'}."


def _own_head(plan: Plan) -> str:
    """What stands over the keys; where tanks have names beside them the keys are names too."""
    return "Name" if any(unit.tank and unit.tank != unit.key for unit in plan.units) or word_of(plan) != "tank" else "Tank"


def units_table(plan: Plan, looks: dict[str, ArmLook]) -> Table:
    """Which unit had which arm and where it stood; columns nobody filled are left out."""
    columns = [(_own_head(plan), [unit.key for unit in plan.units]), ("Arm", [looks[unit.arm].words for unit in plan.units])]
    for head, field in (("Tank", "tank"), ("Compartment", "compartment"), ("Block", "block"), ("Position", "position"), ("Pair", "pair"),
                        ("Round", "round"), ("First arm", "first_arm")):
        cells = [getattr(unit, field) for unit in plan.units]
        if any(cells) and not (field == "tank" and cells == columns[0][1]):
            columns.append((head, cells))
    rows = tuple(zip(*(cells for _, cells in columns), strict=True))
    return Table(f"The {word_of(plan)}s and their arms", tuple(head for head, _ in columns),
                 tuple(tuple(shown(cell) for cell in row) for row in rows), wide=(1,))
