"""The words after a calculator's name, sorted into its options: `--input value`, where a value may be several words."""

import click

from fairtank.bench.asking import Asked, read, reworded
from fairtank.bench.asking import asked as asked_of
from fairtank.bench.inputs import option_of
from fairtank.registry import Entry


def asked(entry: Entry, words: list[str]) -> Asked:
    """The inputs of a calculator from the words after its name.

    Raises
    ------
    click.UsageError
        If an option is unknown, stands alone or twice, or a needed one is missing.
    InputError
        If a value cannot be read, or more than two inputs are ranges.
    """
    names = {option_of(declared): declared.name for declared in entry.inputs}
    texts: dict[str, str] = {}
    for option, text in _pairs(entry, words, ", ".join(names)):
        name = names.get(option.replace("_", "-"))
        if name is None:
            raise click.UsageError(f"{entry.key} has no option {option}; its options: {', '.join(names)}")
        if name in texts:
            raise click.UsageError(f"{option} stands there twice")
        texts[name] = text
    known = read(entry, texts)
    for error in known.refused.values():
        raise reworded(entry, error, option_of)
    if known.missing:
        wanted = "; ".join(f"{option_of(part)}: {part.label}{f' [{part.unit}]' if part.unit else ''}" for part in known.missing)
        raise click.UsageError(f"{entry.key} also needs {wanted}")
    return asked_of(known, option_of)


def _pairs(entry: Entry, words: list[str], accepted: str) -> list[tuple[str, str]]:
    """Each option with the text of its value: all words up to the next option."""
    pairs: list[tuple[str, list[str]]] = []
    for word in words:
        if word.startswith("--"):
            option, equals, text = word.partition("=")
            pairs.append((option, [text] if equals else []))
        elif pairs:
            pairs[-1][1].append(word)
        else:
            raise click.UsageError(f"{entry.key} takes options such as {accepted.split(',')[0]}, not {word}; its options: {accepted}")
    for option, texts in pairs:
        if not texts:
            raise click.UsageError(f"every option of {entry.key} takes a value, {option} has none; its options: {accepted}")
    return [(option, " ".join(texts)) for option, texts in pairs]
