"""The dialogues of fairtank plan in the guide are what it prints, and take a person no more than ten minutes."""

import importlib.util
import re
from functools import cache
from importlib.machinery import SourceFileLoader
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
LONGEST_MIN = 10.0


@cache
def generator():
    """The script scripts/dialogues as a module."""
    loader = SourceFileLoader("fairtank_dialogues_script", str(ROOT / "scripts" / "dialogues"))
    module = importlib.util.module_from_spec(importlib.util.spec_from_loader(loader.name, loader))
    loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", ["two", "six"])
def test_a_dialogue_is_current_and_short_enough_to_be_read_and_answered(name, monkeypatch):
    script = generator()
    told = script.dialogue(name)
    page = script.PAGE.read_text(encoding="utf-8")
    shown = re.search(rf"<!-- dialogue {name} -->.*?```\n(.*?)\n```", page, re.DOTALL)[1]
    assert shown == told.rstrip(), "run scripts/dialogues"
    words, minutes = script.minutes_of(told, len(script.typed_lines(name)))
    assert words > 500
    assert minutes <= LONGEST_MIN
