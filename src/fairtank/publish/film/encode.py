"""Frames as a film: H.264 in MP4, or VP9 in WebM; the same frames give the same bytes.

A film is made beside its place and moved there when it is whole. Frames are made in a second thread while others are encoded.
"""

import os
import queue
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from fractions import Fraction
from itertools import islice
from pathlib import Path
from typing import Any, TypeVar

from fairtank.errors import JobError, plain_reason
from fairtank.publish.film.frames import Stretch

T = TypeVar("T")
# Told after each stretch of frames: done, of how many. Whatever it raises ends the film, and nothing is left of it.
Moved = Callable[[int, int], None]
# As many threads everywhere: with another number the encoder gives other bytes.
THREADS = 4
CODECS = {"mp4": "libx264", "webm": "libvpx-vp9"}
# No frame waits for later ones and none is held longer than it must: of a 4K film each one takes 12 MB and more.
_H264 = {"preset": "veryfast", "crf": "20", "profile": "high", "rc-lookahead": "1", "bf": "0", "refs": "1", "g": "120",
         "x264-params": "log-level=none:sync-lookahead=0:sliced-threads=1"}
_VP9 = {"crf": "31", "b": "0", "deadline": "realtime", "cpu-used": "7", "row-mt": "1", "tile-columns": "2", "lag-in-frames": "1",
        "g": "120", "auto-alt-ref": "0"}
# So many frames are made while one is encoded; each takes room.
AHEAD = 1
_BT709, _NARROW = 1, 1
MISSING = ("Writing this film needs the package av, which is not installed. Install it with: python -m pip install \"fairtank[video]\" "
           "(or start fairtank with run.py, which does it).")


def film_write(stretches: Iterator[Stretch], place: Path, *, form: str, size_px: tuple[int, int], frames_per_second: int, frames: int,
               moved: Moved | None = None) -> None:
    """Encode a film.

    Parameters
    ----------
    stretches : iterator of Stretch
        Its frames in order; asked for in a thread of their own.
    place : Path
        Where it shall lie; its folder is there.
    form : str
        `mp4` or `webm`.
    size_px : (int, int)
        Width and height.
    frames_per_second : int
    frames : int
        How many there are, for telling how far it is.
    moved : callable or None
        Told how far it is.

    Raises
    ------
    JobError
        If the package that encodes is missing, or the file cannot be written.
    """
    try:
        import av
    except ImportError as error:
        raise JobError(MISSING) from error
    draft = place.with_name(f".{place.name}.{os.urandom(6).hex()}.tmp")
    try:
        with av.open(str(draft), "w", format=form, options=_container_options(form)) as container:
            stream = _stream(container, form, size_px, frames_per_second)
            _encode(container, stream, stretches, frames, moved)
        os.replace(draft, place)
    except (OSError, av.FFmpegError) as error:
        reason = plain_reason(error) if isinstance(error, OSError) else str(error)
        raise JobError(f"{place} cannot be written: {reason}. Choose another folder with --out.") from error
    finally:
        with suppress(OSError):
            draft.unlink()


def _container_options(form: str) -> dict[str, str]:
    """No time and no name of a program in the file; in MP4 what a player needs first stands first."""
    return {"fflags": "+bitexact", **({"movflags": "+faststart"} if form == "mp4" else {})}


def _stream(container: Any, form: str, size_px: tuple[int, int], frames_per_second: int) -> Any:
    from av.codec.context import Flags

    stream = container.add_stream(CODECS[form], rate=frames_per_second, options=dict(_H264 if form == "mp4" else _VP9))
    stream.width, stream.height = size_px
    stream.pix_fmt = "yuv420p"
    context = stream.codec_context
    context.time_base = Fraction(1, frames_per_second)
    context.thread_count = THREADS
    context.flags |= Flags.bitexact
    context.colorspace = context.color_primaries = context.color_trc = _BT709
    context.color_range = _NARROW
    return stream


def _encode(container: Any, stream: Any, stretches: Iterator[Stretch], frames: int, moved: Moved | None) -> None:
    done, time_base = 0, Fraction(1, stream.codec_context.framerate.numerator)
    for frame, equal in _video_frames(made_ahead(stretches)):
        frame.time_base = time_base
        for _ in range(equal):
            frame.pts = done
            container.mux(stream.encode(frame))
            done += 1
        if moved:
            moved(done, frames)
    container.mux(stream.encode(None))


def _video_frames(stretches: Iterator[Stretch]) -> Iterator[tuple[Any, int]]:
    """Each stretch as the encoder takes it, and how many frames it is; its own px are let go at once."""
    import av

    for stretch in stretches:
        frame, equal = av.VideoFrame.from_ndarray(stretch.pixels, format="yuv420p"), stretch.frames
        frame.colorspace, frame.color_range, frame.color_primaries, frame.color_trc = _BT709, _NARROW, _BT709, _BT709
        del stretch
        yield frame, equal


def made_ahead(things: Iterator[T]) -> Iterator[T]:
    """The same, made in a second thread a little ahead of where they are taken; the thread ends when nobody takes them any more.

    Parameters
    ----------
    things : iterator

    Yields
    ------
    object
    """
    ready: queue.Queue[list[T] | BaseException] = queue.Queue()
    over, room = threading.Event(), threading.Semaphore(AHEAD)

    def has_room() -> bool:
        while not over.is_set():
            if room.acquire(timeout=0.1):
                return True
        return False

    def make() -> None:
        try:
            while has_room():
                made = list(islice(things, 1))
                ready.put(made)
                if not made:
                    return
                del made
        except BaseException as error:  # told where the frames are taken
            ready.put(error)

    maker = threading.Thread(target=make, daemon=True)
    maker.start()
    try:
        while True:
            got = ready.get()
            if isinstance(got, BaseException):
                raise got
            if not got:
                return
            room.release()
            yield got.pop()  # nothing here keeps it while it is used
    finally:
        over.set()
        maker.join()
