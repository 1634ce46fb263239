"""Everything that is wrong with a setup, gathered so that it is told at once and each sentence once."""

from collections.abc import Iterator
from contextlib import contextmanager

from fairtank.errors import DesignError, FairtankError


class Problems:
    """Sentences about what keeps a setup from being built, in the order in which they were found."""

    def __init__(self) -> None:
        self._sentences: dict[str, None] = {}

    def add(self, sentence: str) -> None:
        """Note one sentence; like units say the same thing, which is then told once."""
        self._sentences[sentence] = None

    def need(self, is_so: bool, sentence: str) -> None:
        """Note the sentence unless what is needed is so."""
        if not is_so:
            self.add(sentence)

    @contextmanager
    def noted(self, about: str = "") -> Iterator[None]:
        """Go on after a refusal inside, with its sentence noted; about says which line of the setup it is about."""
        try:
            yield
        except FairtankError as refusal:
            self.add(f"{about}: {refusal}" if about else str(refusal))

    def refuse_if_any(self) -> None:
        """Raise one DesignError with all sentences, one per row, if there are any."""
        if self._sentences:
            raise DesignError("\n".join(self._sentences))
