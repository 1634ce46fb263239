"""Sentences that were written for the terminal, as pages tell them."""

import pytest

from fairtank.web.said import worked_out


@pytest.mark.parametrize(("written", "told"), [
    ("to check it: fairtank audit", "to check it: “Audit”"),
    ("There is no schedule.toml: its minutes are proposed ones.", "No schedule was taken yet: its minutes are proposed ones."),
    ("--tank-cost and --day-cost take their place.", "Costs under “Try something else” take their place."),
    ("If it builds up, plan with the summary slope and ask again.",
     "If it builds up, answer “it builds up over weeks” in the plan, and look again."),
    ("nothing by itself. The plain way.", "by itself it cannot tell anything. The plain way."),
    ("from 10 % to 15 %, or to 6.5 %. On the scale of judging both are 0.46.",
     "from 10 % to 15 %, or to 6.5 %. On the scale of judging both are equally large steps."),
    ("from 10 % to 15 %. On the scale of judging that is 0.46; the same step downwards leads to 6.5 %.",
     "from 10 % to 15 %. On the scale of judging, the same step downwards leads to 6.5 %."),
])
def test_a_page_names_no_file_no_option_and_no_number_without_a_unit(written, told):
    assert worked_out(written) == told
