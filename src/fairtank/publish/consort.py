"""The items of the reporting checklist for trials, by number and in words of our own for tanks: the one list of them."""

from typing import NamedTuple


class Item(NamedTuple):
    """One item: its number in the statement, the part to which it belongs, and what a reader should be told."""

    number: str
    part: str
    asks: str


SOURCE = "consort2025"
FRONT, OPEN, WHY, HOW, SEEN, MEANT = ("Title and summary", "Openness", "Why it was done", "How it was done", "What came of it",
                                      "What it means")
# Numbers and topics follow table 1 of the statement (consort2025); the wording is our own, for tanks instead of people.
ITEMS = (
    Item("1a", FRONT, "That the arms were drawn by lot, at the head of the report"),
    Item("1b", FRONT, "A short summary of design, methods, results and conclusion"),
    Item("2", OPEN, "In which public register the trial stands, under which number and since when"),
    Item("3", OPEN, "Where the plan and the plan of the analysis can be read"),
    Item("4", OPEN, "Where the data of every tank, their description and the program can be had"),
    Item("5a", OPEN, "Who paid for it or supplied anything, and what say they had"),
    Item("5b", OPEN, "What else the people behind it stand to gain or lose"),
    Item("6", WHY, "What is behind the question: why the change should do anything"),
    Item("7", WHY, "What exactly was asked, for good and for harm"),
    Item("8", HOW, "How those concerned had a say in the trial"),
    Item("9", HOW, "The kind of design, how many tanks each arm was meant to have, and what kind of answer was sought"),
    Item("10", HOW, "What was changed in the plan after the start, and why"),
    Item("11", HOW, "Where the trial took place"),
    Item("12a", HOW, "By what the tanks were chosen"),
    Item("12b", HOW, "What places and people had to bring along to take part"),
    Item("13", HOW, "The change and what it is compared with, so that somebody else could do both"),
    Item("14", HOW, "The primary and secondary measures: what is measured, how it becomes one number, over which days"),
    Item("15", HOW, "How losses and side effects were defined and looked for"),
    Item("16a", HOW, "How the number of tanks was arrived at"),
    Item("16b", HOW, "Whether there were looks before the end, and by which rule the trial could have stopped"),
    Item("17a", HOW, "Who drew the lots, and by which procedure"),
    Item("17b", HOW, "What kind of lot: blocks, pairs and other bounds"),
    Item("18", HOW, "How the lot was kept from being known before it was used"),
    Item("19", HOW, "Whether those who placed and planted the tanks could know the lot"),
    Item("20a", HOW, "Who was kept from knowing which tank had which arm"),
    Item("20b", HOW, "How they were kept from knowing, and how alike the arms looked"),
    Item("21a", HOW, "By which methods the arms were compared, on every measure"),
    Item("21b", HOW, "Which tanks are in each analysis, and in which arm"),
    Item("21c", HOW, "What was done about values that are missing"),
    Item("21d", HOW, "Which further analyses were made, fixed beforehand or thought of later"),
    Item("22a", SEEN, "How many tanks of each arm were drawn, had what they were drawn for, and were judged"),
    Item("22b", SEEN, "Which tanks were lost or left out after the draw, with the reason"),
    Item("23a", SEEN, "From when to when it ran"),
    Item("23b", SEEN, "Why it ended"),
    Item("24a", SEEN, "What was really done in each arm, by whom, and how closely to the plan"),
    Item("24b", SEEN, "What else each arm was given meanwhile"),
    Item("25", SEEN, "How the arms compared at the start"),
    Item("26", SEEN, "For each measure and arm: tanks, values, the difference and its interval"),
    Item("27", SEEN, "All losses and unintended events in each arm"),
    Item("28", SEEN, "What any other analysis gave, fixed beforehand or thought of later"),
    Item("29", MEANT, "What follows from it, losses and other evidence weighed in"),
    Item("30", MEANT, "Its limits: bias, precision, how far it carries, how many measures were asked"),
)
