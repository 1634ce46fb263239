"""The way from a plan to the first day, one step after the other: the one list, for the terminal and the pages."""

STEPS = (
    ("even", "what else differs"), ("draw", "the lot"), ("build", "what to weigh and buy"), ("cards", "photo cards"),
    ("seal", "fix the plan"), ("schedule", "what to do today"),
)


def steps_left(after: str, *, is_drawn: bool, is_built: bool, has_cards: bool, is_sealed: bool) -> tuple[tuple[str, str], ...]:
    """The steps that come after one and have not left their mark yet.

    Parameters
    ----------
    after : str
        The step that was just done; empty for the way from its beginning.
    is_drawn, is_built, has_cards, is_sealed : bool
        Which marks are there; is_built also where nothing is to be built from a sheet.

    Returns
    -------
    tuple of (str, str)
        Step and what it is, in order.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> [step for step, _ in steps_left("even", is_drawn=True, is_built=True, has_cards=False, is_sealed=False)]
    ['cards', 'seal', 'schedule']
    """
    done = {"draw": is_drawn, "build": is_built, "cards": has_cards, "seal": is_sealed}
    names = [name for name, _ in STEPS]
    first = names.index(after) + 1 if after else 0
    return tuple(step for step in STEPS[first:] if not done.get(step[0], False))
