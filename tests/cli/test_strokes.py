"""fairtank strokes: lays photos out blind, says what to do next, takes painted ones back."""

from tests.cli.running import run_here
from tests.records.photo_trials import Shape, photo_trial, strokes_picture
from tests.vision.pictures import encoded

SMALL = Shape(days=(0, 7), painted=(), shrink=2)


def test_photos_are_laid_out_painted_and_taken_back(capsys, tmp_path):
    root = photo_trial(tmp_path / "trial", SMALL)
    asked = run_here(capsys, "strokes", root, "--photos", 2)
    assert (asked.code, asked.err) == (0, "")
    assert f"2 photos to paint: {root / 'to-paint'}" in asked.out
    assert not any(name in asked.out for name in ("T1-", "T2-"))
    for number in (1, 2):
        (root / "to-paint" / f"paint-{number}.png").write_bytes(encoded(strokes_picture()[::2, ::2], compress_level=1))
    taken = run_here(capsys, "strokes", root, "--take", root / "to-paint")
    assert (taken.code, taken.out.strip()) == (0, "2 stroke pictures are in labels/ now.")
    assert len(list((root / "labels").glob("*.png"))) == 2


def test_what_cannot_be_taken_is_said_on_standard_error(capsys, tmp_path):
    root = photo_trial(tmp_path / "trial", SMALL)
    run_here(capsys, "strokes", root)
    refused = run_here(capsys, "strokes", root, "--take", root / "to-paint")
    assert (refused.code, refused.out) == (1, "")
    assert "Save each painted photo as PNG" in refused.err
