"""The sheets of a draw as paper."""

from datetime import UTC, date, datetime

from fairtank.lot import Draw
from fairtank.planning.drawing.lots import PROCEDURE, LotInputs, drawn_lots
from fairtank.publish.draw_pages import DrawContent, draw_pdf, scoring_pdf
from fairtank.trial import Arm, MeasureChoice, Plan, Unit


def test_both_sheets_are_tagged_pdfs_and_the_same_every_time():
    drawn = drawn_lots(7, LotInputs("side_by_side", ("T1", "T2"), ("R", "C")))
    draw = Draw(7, datetime(2026, 2, 20, tzinfo=UTC), PROCEDURE, drawn.arms, (), drawn.possible, kind="side_by_side", arm_keys=("R", "C"),
                planting=drawn.planting, scoring=drawn.scoring)
    plan = Plan("A trial \U0001f41f", date(2026, 3, 1), 42, "side_by_side", (Arm("R", "reference"), Arm("C", "changed", "*less* light")),
                tuple(Unit(unit, arm, position="a" * 60) for unit, arm in drawn.arms), (MeasureChoice("algae_cover", "primary"),))
    content = DrawContent(plan, draw, drawn, (("T1", "BOV"), ("T2", "KEM")))
    for make in (draw_pdf, scoring_pdf):
        pdf = make(content)
        assert pdf.startswith(b"%PDF")
        assert b"StructTreeRoot" in pdf
        assert make(content) == pdf
