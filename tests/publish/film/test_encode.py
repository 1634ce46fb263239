"""The film as a file, read back by an outside library, and its boxes by ten lines of our own."""

import threading
from dataclasses import replace
from itertools import pairwise

import av
import numpy as np
import pytest
from tests.publish.film.film_examples import TINY, film

from fairtank.errors import JobError
from fairtank.publish.film import encode
from fairtank.publish.film.colours import planes
from fairtank.publish.film.encode import film_write, made_ahead
from fairtank.publish.film.frames import Stretch, frames_of
from fairtank.publish.film.paint import VEIL

SHORT = replace(TINY, cards=False, seconds_per_day=0.5)


@pytest.fixture(scope="module")
def made():
    return film(SHORT)


@pytest.fixture(scope="module")
def rendered(made):
    """Every frame that was handed to the encoder."""
    return [stretch.pixels for stretch in frames_of(made) for _ in range(stretch.frames)]


def written(made, place, form, moved=None):
    film_write(frames_of(made), place, form=form, size_px=made.wishes.size_px, frames_per_second=24, frames=made.timeline.frames,
               moved=moved)
    return place


@pytest.fixture(scope="module")
def files(made, tmp_path_factory):
    folder = tmp_path_factory.mktemp("films")
    return {form: written(made, folder / f"film.{form}", form) for form in ("mp4", "webm")}


def boxes(content):
    """Names of the outermost boxes of an MP4 file, in order."""
    names, place = [], 0
    while place < len(content):
        size = int.from_bytes(content[place:place + 4])
        names.append(content[place + 4:place + 8].decode("latin-1"))
        assert size >= 8, "a box of the long form is not written here"
        place += size
    return names


@pytest.mark.parametrize(("form", "codec"), [("mp4", "h264"), ("webm", "vp9")])
def test_the_film_has_as_many_frames_at_the_times_that_the_timeline_tells(made, files, form, codec):
    with av.open(str(files[form])) as container:
        stream = container.streams.video[0]
        assert (stream.codec_context.name.replace("libvpx-", ""), stream.width, stream.height) == (codec, 320, 180)
        assert stream.codec_context.pix_fmt == "yuv420p"
        times = [float(frame.pts * stream.time_base) for frame in container.decode(stream)]
        assert container.duration / 1e6 == pytest.approx(made.timeline.seconds, abs=0.002)
    assert len(times) == made.timeline.frames
    assert times == pytest.approx([number / 24 for number in range(made.timeline.frames)], abs=0.001)


def test_what_a_player_needs_first_stands_first_in_the_mp4(files):
    order = boxes(files["mp4"].read_bytes())
    assert order.index("moov") < order.index("mdat")


@pytest.mark.parametrize("form", ["mp4", "webm"])
def test_the_colours_are_told_to_be_bt709(files, form):
    with av.open(str(files[form])) as container:
        context = container.streams.video[0].codec_context
        next(container.decode(video=0))
        assert (context.colorspace, context.color_primaries, context.color_trc, context.color_range) == (1, 1, 1, 1)


@pytest.mark.parametrize("form", ["mp4", "webm"])
def test_every_decoded_frame_is_the_frame_that_was_painted(files, rendered, form):
    with av.open(str(files[form])) as container:
        decoded = [frame.to_ndarray(format="yuv420p") for frame in container.decode(video=0)]
    for number, (one, two) in enumerate(zip(decoded, rendered, strict=True)):
        error = np.mean((planes(one)[0].astype(float) - planes(two)[0]) ** 2)
        assert 10 * np.log10(255**2 / max(error, 1e-9)) >= 35, number


@pytest.mark.parametrize("form", ["mp4", "webm"])
def test_the_same_trial_gives_the_same_bytes(made, files, tmp_path, form):
    assert written(made, tmp_path / "again", form).read_bytes() == files[form].read_bytes()


def test_progress_is_told_up_to_the_last_frame(made, tmp_path):
    told = []
    written(made, tmp_path / "film", "mp4", moved=lambda done, frames: told.append((done, frames)))
    assert told == sorted(told)
    assert told[-1] == (made.timeline.frames, made.timeline.frames)


class Stopped(BaseException):
    pass


def test_a_film_that_is_stopped_leaves_nothing_and_the_one_before_stays(made, tmp_path):
    place = tmp_path / "film.mp4"
    place.write_bytes(b"the film before")

    def stop(done, frames):
        if done > frames // 3:
            raise Stopped

    before = threading.active_count()
    with pytest.raises(Stopped):
        written(made, place, "mp4", moved=stop)
    assert [(file.name, file.read_bytes()) for file in tmp_path.iterdir()] == [("film.mp4", b"the film before")]
    assert threading.active_count() == before, "nothing goes on behind it"


def test_what_goes_wrong_while_frames_are_made_ends_the_film(tmp_path):
    def broken():
        yield Stretch(np.zeros((270, 320), np.uint8), 2)
        raise JobError("The photo has gone.")

    with pytest.raises(JobError, match="The photo has gone"):
        film_write(broken(), tmp_path / "film.mp4", form="mp4", size_px=(320, 180), frames_per_second=24, frames=9)
    assert not list(tmp_path.iterdir())


def test_few_frames_are_made_ahead_of_where_they_are_taken():
    asked = []

    def endless():
        while True:
            asked.append(len(asked))
            yield Stretch(np.zeros((3, 2), np.uint8), 1)

    taken = made_ahead(endless())
    for _ in range(5):
        next(taken)
    taken.close()
    assert len(asked) <= 5 + encode.AHEAD + 1


def test_a_place_that_cannot_be_written_is_named(made, tmp_path):
    with pytest.raises(JobError, match="cannot be written: there is no such file or folder"):
        written(made, tmp_path / "nowhere" / "film.mp4", "mp4")


def test_without_the_package_the_message_says_what_to_install(made, tmp_path, monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "av", None)
    with pytest.raises(JobError, match=r"python -m pip install \"fairtank\[video\]\""):
        written(made, tmp_path / "film.mp4", "mp4")


def test_photos_fade_over_the_last_quarter_of_a_day_and_words_never_do(made, rendered):
    """Day 0 to day 1 of R1: its wall brightens by 8 steps; the counter's place shows one of two pictures, never a mixture."""
    first, after = made.timeline.shots[0], made.timeline.shots[1]
    cell = next(cell for cell in made.layout.cells if cell.unit == "R1").photo
    spot = (cell.bottom - 6, cell.right - 6)
    wall = [int(planes(frame)[0][spot]) for frame in rendered[:after.first_frame + 1]]
    steady = first.frames - first.dissolve
    assert len(set(wall[:steady])) == 1
    assert all(one <= two for one, two in pairwise(wall[steady - 1:]))
    assert wall[steady] < wall[-1] > wall[0], "the last quarter lies between both days"
    head = [planes(frame)[0][:made.layout.head.height] for frame in rendered[:after.first_frame + 1]]
    assert all(np.array_equal(head[0], one) for one in head[:-1])
    assert not np.array_equal(head[0], head[-1])


def test_a_tank_without_a_photo_that_day_is_veiled_by_so_much_paper(made, rendered):
    day = next(shot for shot in made.timeline.shots if shot.kind == "day")
    cell = next(cell for cell in made.layout.cells if cell.unit == "C1").photo
    spot = (cell.y + 4, cell.right - 4)
    plain, veiled = (int(planes(rendered[frame])[0][spot]) for frame in (0, day.first_frame))
    paper = 16 + 219 / 255 * 239
    assert veiled == pytest.approx((1 - VEIL) * plain + VEIL * paper, abs=3)
