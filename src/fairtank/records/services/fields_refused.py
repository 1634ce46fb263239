"""A form that cannot be taken, field by field."""

from collections.abc import Mapping

from fairtank.errors import FairtankError


class FieldsRefused(FairtankError):
    """What cannot be taken: a sentence for each field or unit, by its name; empty for what belongs to none."""

    def __init__(self, sentences: Mapping[str, str]) -> None:
        self.sentences = dict(sentences)
        super().__init__(" ".join(self.sentences.values()))
