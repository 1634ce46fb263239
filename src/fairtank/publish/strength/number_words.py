"""Numbers in words and digits, in every language that is read."""

import re

_ONES = ("one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen", (
         "ein|eins|eine|einen|einem|einer zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn vierzehn fünfzehn sechzehn "
         "siebzehn achtzehn neunzehn"))
_TENS = ("twenty thirty forty fifty sixty seventy eighty ninety", "zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig")
ARTICLES = {"ein", "eine", "einen", "einem", "einer", "one"}  # too common to be read as a count


def _number_words() -> dict[str, int]:
    known = {"hundred": 100, "hundert": 100, "dozen": 12, "dutzend": 12}
    for ones in _ONES:
        known |= {word: value for value, words in enumerate(ones.split(), start=1) for word in words.split("|")}
    for tens in _TENS:
        known |= {word: 10 * value for value, word in enumerate(tens.split(), start=2)}
    for value, ten in enumerate(_TENS[1].split(), start=2):
        known |= {f"{'ein' if one == 1 else word}und{ten}": 10 * value + one
                  for one, word in enumerate(["eins", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht", "neun"], start=1)}
    return known


NUMBER_WORDS = _number_words()


def is_number(text: str) -> bool:
    """Whether a word tells a number: digits, or a number in words that is no article.

    >>> is_number("8.3"), is_number("zwölf"), is_number("eine"), is_number("tanks")
    (True, True, False, False)
    """
    return text[:1].isdigit() or (text in NUMBER_WORDS and text not in ARTICLES)


def number_of(text: str) -> float:
    """The number that a word tells."""
    if text in NUMBER_WORDS:
        return NUMBER_WORDS[text]
    return float(re.sub(r"[.,](?=\d{3}(?!\d))", "", text).replace(",", ".").rstrip("."))
