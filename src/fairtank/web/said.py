"""Sentences that were written for the terminal, told for pages: options become reasons, files become what they hold."""

import re

from fairtank.errors import FairtankError, InputError
from fairtank.web.spoken import is_english, spoken

_PAGES = {"even": "How even", "draw": "Draw", "seal": "Seal", "schedule": "Schedule", "detect": "What it can show", "build": "Build sheet",
          "cards": "Build sheet", "plan": "The plan", "judge": "Finding", "watch": "Drift", "report": "Report and files",
          "audit": "Audit"}
_WORDS = (
    (r" Several with commas(?:, or none)?\.", ""), (r"of these, answer none\.", "of these, tick none of them."),
    (r'[Oo]nly with --reason "[^"]*"', "only with a reason"), (r'with --reason "[^"]*"', "with a reason"),
    (r'--reason "[^"]*"', "a reason"),
    (r"To plan with it: fairtank detect FOLDER --sd ([\d.]+), and once more with --sd ([\d.]+)\.",
     r"To plan with it, give \1 as the spread of like tanks on the page “What it can show”, and once more \2."),
    (r"with more courses \(--members\) they", "with more courses they"),
    (r"belongs in the folder, whatever", "belongs here, whatever"), (r"--soil\b", "“What the bed gives off”"),
    (r"State your own with --sd", "State your own under “Try something else”"),
    (r"give one as \w+ under \[money\]", "it can be given in the setup"), (r"spread\.csv", "the list of earlier tanks"),
    (r"`?fairtank seal --data`?", "“Stamp what is recorded” on the page “Seal”"),
    (r"with --data too", "with the data too"), (r", or with --sd\b", ""),
    (r"fairtank verify(?: tells| FOLDER)?", "“Verify” on the page “Seal” tells"), (r"fairtank detect --sd", "the page “What it can show”"),
    (r"\ba trial\.toml\b", "a plan"), (r"\btrial\.toml\b", "the plan"), (r"\b(a|no) setup\.toml\b", r"\1 setup"),
    (r"\bsetup\.toml\b", "the setup"),
    (r"\bThere is no schedule\.toml:", "No schedule was taken yet:"), (r"\bschedule\.toml\b", "the schedule"),
    (r"--tank-cost and --day-cost take their place", "Costs under “Try something else” take their place"),
    (r"plan with the summary slope and ask again", "answer “it builds up over weeks” in the plan, and look again"),
    (r"On the scale of judging both are [\d.]+\.", "On the scale of judging both are equally large steps."),
    (r"On the scale of judging that is [\d.]+; the same step", "On the scale of judging, the same step"),
    (r"^nothing by itself\.", "by itself it cannot tell anything."),
    (r"\bfactors\.csv\b", "what each tank has"), (r"\bdraw\.json\b", "the record of draws"), (r"\bseal\.json\b", "the seal"),
    (r"\bseries\.csv\b", "ready-made values"), (r"\bbuild\.csv\b", "the build sheet"),
    (r"\breadings\.csv\b", "the readings"), (r"\bevents\.csv\b", "the diary"), (r"\bchores\.csv\b", "the chores done"),
    (r"\bphotos\.csv\b", "the photos"), (r"\bplan-answers\.toml\b", "the answers"),
    (r"--block neighbours", "blocks of neighbours"), (r"--neighbours", "How many neighbours make a block"), (r"--block", "Blocks"),
    (r"--rows and --columns", "Rows and columns of a square"), (r"--places", "Places"), (r"--seed", "The seed"), (r"--slip", "The day"),
    (r"--by\b", "By how many days"), (r"--reason\b", "The reason"), (r"--sd\b", "The spread of like tanks"),
    (r"--reference\b", "The level of the reference tanks"),
)
# How a sentence of ours begins: an article, or another word in small letters where it is not what somebody typed ("abc is not a number").
_OUR_WORD = re.compile(r"(the|an?|there)(?= )|[a-zäöü]+(?=[ ,])(?! is (not|no)\b)")


def in_pages(text: str) -> str:
    """A sentence in the language of the page, without commands and names of files where it stays English.

    >>> in_pages('Draw again only with --reason "why": every draw is kept.')
    'Draw again only with a reason: every draw is kept.'
    >>> in_pages("All else should be alike, and is checked: fairtank even.")
    'All else should be alike, and is checked: “How even”.'
    """
    other = spoken(text)
    return other if other != text else worked_out(text)


def worked_out(text: str) -> str:
    """A sentence out of a finding, a forecast or a plan, which is English in every language of the pages; without commands and files."""
    for pattern, words in _WORDS:
        text = re.sub(pattern, words, text)
    return re.sub(r"fairtank (even|draw|seal|schedule|detect|build|cards|plan|judge|watch|report|audit)\b(?: (?:FOLDER|my-trial)\b)?",
                  lambda found: f"“{_PAGES[found[1]]}”", text)


def refusal_lines(error: Exception) -> list[str]:
    """What a service refused, a sentence on each line, as pages tell it."""
    if isinstance(error, FairtankError) and not is_english():
        text = error.in_words(in_pages)
    else:
        text = "\n".join(map(in_pages, str(error).splitlines()))
    lines = [line for line in text.splitlines() if line.strip()]
    return [begun(line) for line in lines] if isinstance(error, InputError) else lines


def begun(sentence: str) -> str:
    """A sentence that begins with the name of what is refused, with a capital; what somebody typed and stands in front stays as it is.

    >>> begun("the name is missing"), begun("pH is 66"), begun("abc is not a number"), begun("a.jpg is empty")
    ('The name is missing', 'pH is 66', 'abc is not a number', 'a.jpg is empty')
    """
    return sentence[:1].upper() + sentence[1:] if _OUR_WORD.match(sentence) else sentence


def refusal_told(error: Exception) -> str:
    """What a service refused, as one run of sentences."""
    return " ".join(refusal_lines(error))
