"""Compiled loops: the same numbers as the function that was written, also where machine code cannot be kept."""

import subprocess
import sys

import numpy as np
import pytest

from fairtank.vision import rectify
from fairtank.vision.colour.correction import uncorrected
from fairtank.vision.compiled import compiled


def running_total(values, factor):
    """A loop whose sum depends on its order."""
    total = 0.0
    for value in values:
        total = total * factor + value
    return total


def test_machine_code_gives_the_digits_of_the_function_as_it_was_written():
    values = np.random.default_rng(5).normal(0, 1, 1000)
    loop = compiled(running_total)
    assert loop.plain is running_total
    assert loop(values, 0.999) == running_total(values, 0.999)
    assert loop.__doc__ == running_total.__doc__


def test_the_loops_of_the_rectified_picture_equal_their_plain_form_byte_for_byte():
    pixels = np.random.default_rng(6).integers(0, 256, (40, 60, 3), dtype=np.uint8)
    matrix = np.array([[2.1, 0.05, 3.0], [0.02, 2.0, 2.0], [1e-4, 2e-4, 1.0]])
    tables, encoded = uncorrected().tables * np.float32(8191 / 4), rectify._encoded()
    for loop, before in ((rectify._means_of_four, ()), (rectify._rectify, (True,)), (rectify._rectify, (False,))):
        made, plain = (np.zeros((12, 20, 3), np.uint8) for _ in range(2))
        for call, picture in ((loop, made), (loop.plain, plain)):
            call(pixels, matrix, *before, tables, np.eye(3, dtype=np.float32), encoded, picture)
        assert made.any()
        assert (made == plain).all()


def test_where_machine_code_cannot_be_kept_the_loop_is_compiled_without(monkeypatch):
    import numba

    asked = []

    def no_folder(**options):
        asked.append(options)
        if options.get("cache"):
            raise RuntimeError("cannot cache function: no locator available")
        return lambda function: function

    monkeypatch.setattr(numba, "njit", no_folder)
    assert compiled(running_total)(np.ones(3), 1.0) == 3.0
    assert [bool(options.get("cache")) for options in asked] == [True, False]


@pytest.mark.parametrize("module", ["fairtank.vision.measure", "fairtank.records.services.measuring"])
def test_loading_the_chain_does_not_load_the_compiler(module):
    code = f"import sys, {module}; print(sorted({{'numba', 'distributed', 'dask', 'cv2'}} & set(sys.modules)))"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"
