"""Photos, frames, zones and stroke pictures: what is refused, and that nothing is decoded for it."""

import os
import struct
import tracemalloc
import zlib
from datetime import datetime
from pathlib import Path

import pytest
from tests.records.strokes import strokes_png, with_strokes

from fairtank.records.folder import read_folder
from fairtank.records.folder.checks_geometry import is_convex, is_in_order
from fairtank.records.folder.pictures import Picture, kind_of, picture_from_bytes

PHOTO_ROW = "photos.csv, row 2, column photo: "
KINDS = "; accepted: a JPEG, PNG, WebP or HEIC photo (.jpg .jpeg .png .webp .heic .heif)."
FILE = "; accepted: an ordinary file of at most 60 MB."
PATH = "; accepted: a path inside the trial folder, such as photos/T1-day-03.jpg."


@pytest.fixture
def folder(folder):
    """The small folder, its strokes painted with a hard brush."""
    return with_strokes(folder)


@pytest.fixture
def lone(folder):
    """A folder in which only photos.csv, frames.csv and the photos depend on photos."""
    folder.drop("labels/T1-a.png", "audit.csv", "scores.csv", "pairs.csv")
    return folder


def test_size_and_time_are_those_of_the_upright_photo(make_picture):
    turned = make_picture("JPEG", (64, 48), "2026:03:05 18:30:00", orientation=6)
    assert picture_from_bytes("a.JPG", turned) == Picture("JPEG", 48, 64, datetime(2026, 3, 5, 18, 30))
    flat = make_picture("PNG", (64, 48), "2026:03:05 18:30:00")
    assert picture_from_bytes("a.png", flat) == Picture("PNG", 64, 48, datetime(2026, 3, 5, 18, 30))
    assert picture_from_bytes("a.webp", make_picture("WEBP", (64, 48), "no time")) == Picture("WebP", 64, 48, None)


def test_a_heic_photo_gives_size_and_time():
    # small.heic: a flat picture of 64 x 48 px made for this test, with an EXIF time; a HEIC reader ignores EXIF orientation.
    content = (Path(__file__).parent / "files" / "small.heic").read_bytes()
    assert picture_from_bytes("a.heic", content) == Picture("HEIC", 64, 48, datetime(2026, 3, 5, 18, 30))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_cut_off_anywhere_is_refused(lone, make_picture, kind):
    name = {"JPEG": "T1-a.jpg", "PNG": "T1-a.png", "WEBP": "T1-a.webp"}[kind]
    lone.swap("photos.csv", "photos/T1-a.jpg", f"photos/{name}")
    lone.swap("frames.csv", "photos/T1-a.jpg", f"photos/{name}")
    whole = make_picture(kind, (64, 48), "2026:03:05 18:30:00")
    for share in (0.5, 0.8, 0.95):
        lone.put(f"photos/{name}", whole[: int(len(whole) * share)])
        assert lone.sentence() == f"{PHOTO_ROW}photos/{name} is cut off before its end; accepted: a whole photo (copy it again)."


def test_the_end_of_an_embedded_thumbnail_does_not_make_a_photo_whole(lone, make_picture):
    from PIL import Image

    thumbnail = make_picture("JPEG", (16, 12))
    whole = make_picture("JPEG", (64, 48))
    exif = Image.Exif().tobytes() + thumbnail
    segment = b"\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif
    lone.put("photos/T1-a.jpg", whole[:2] + segment + whole[2:])
    assert lone.sentences() == []
    lone.put("photos/T1-a.jpg", (whole[:2] + segment + whole[2:])[:-40])
    assert lone.sentence() == f"{PHOTO_ROW}photos/T1-a.jpg is cut off before its end; accepted: a whole photo (copy it again)."


def test_a_photo_with_a_film_behind_it_is_whole(lone, make_picture):
    lone.put("photos/T1-a.jpg", make_picture("JPEG") + b"\0\0\0\x18ftypmp42" + bytes(100_000))
    assert lone.sentences() == []


def test_a_wrongly_named_photo_is_told_what_it_is(lone, make_picture):
    lone.put("photos/T1-a.jpg", make_picture("PNG"))
    assert lone.sentence() == f"{PHOTO_ROW}photos/T1-a.jpg holds a PNG picture under another extension; accepted: .png for a PNG picture."


@pytest.mark.parametrize(("content", "name"), [
    (b"GIF89a" + bytes(50), "a GIF picture"), (b"\0\0\0\x18ftypavif" + bytes(50), "an AVIF picture"),
    (b"\0\0\0\x18ftypisom" + bytes(50), "a video"),
    (b"%PDF-1.7", "a PDF document"), (b"hello", "no picture that is known here"), (b"<html>", "a web page or SVG drawing"),
])
def test_a_file_that_is_no_photo_is_told_what_it_is(lone, content, name):
    lone.put("photos/T1-a.jpg", content)
    assert lone.sentence() == f"{PHOTO_ROW}photos/T1-a.jpg holds {name}{KINDS}"


@pytest.mark.parametrize("content", [
    b"\x89PNG\r\n\x1a\n" + bytes(40) + b"IEND\xae\x42\x60\x82", b"\xff\xd8\xff\xda\0\0\xff\xd9",
    b"RIFF\x04\0\0\0WEBP" + bytes(20), b"\0\0\0\x18ftypheic" + bytes(12),
])
def test_a_broken_header_is_refused_in_a_sentence(lone, content):
    name = "photos/T1-a" + {"PNG": ".png", "JPEG": ".jpg", "WebP": ".webp", "HEIC": ".heic"}[kind_of(content)]
    lone.swap("photos.csv", "photos/T1-a.jpg", name)
    lone.swap("frames.csv", "photos/T1-a.jpg", name)
    lone.put(name, content)
    assert lone.sentence() == f"{PHOTO_ROW}the header of {name} cannot be read{KINDS}"


def bomb(side: int) -> bytes:
    """A PNG of side x side white pixels, a few hundred kB packed, made row by row."""
    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    packer = zlib.compressobj(9)
    row = bytes(1 + side // 8)
    data = b"".join(packer.compress(row) for _ in range(side)) + packer.flush()
    header = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


@pytest.mark.parametrize(("side", "megapixels"), [(20_000, 400), (11_000, 121)])
def test_a_picture_that_would_fill_the_memory_is_refused_unopened(lone, side, megapixels):
    lone.put("photos/T1-b.png", bomb(side))
    sentence, peak = _peak_of(lone.sentence)
    assert sentence == (f"photos.csv, row 3, column photo: photos/T1-b.png has {side} x {side} px ({megapixels} megapixels); "
                                   "accepted: at most 120 megapixels.")
    assert peak < 10_000_000


def test_a_picture_just_within_the_limit_raises_no_warning(lone):
    lone.put("photos/T1-b.png", bomb(10_000))
    assert lone.sentences() == []


def _peak_of(action):
    tracemalloc.start()
    try:
        return action(), tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_an_over_long_photo_is_refused_unread(lone):
    os.truncate(lone.root / "photos/T1-a.jpg", 61_000_000)
    sentence, peak = _peak_of(lone.sentence)
    assert sentence == f"{PHOTO_ROW}photos/T1-a.jpg is 61 MB long{FILE}"
    assert peak < 10_000_000


def test_a_table_listed_as_a_photo_is_refused(lone):
    lone.swap("photos.csv", "photos/T1-b.png", "series.csv")
    assert lone.sentence() == f"photos.csv, row 3, column photo: series.csv holds no picture that is known here{KINDS}"


def test_an_empty_photo_is_refused(lone):
    lone.put("photos/T1-a.jpg", b"")
    assert lone.sentence() == f"{PHOTO_ROW}photos/T1-a.jpg is empty (0 bytes){FILE}"


def test_a_missing_photo_is_refused(lone):
    lone.drop("photos/T1-a.jpg")
    assert lone.sentence() == f"{PHOTO_ROW}the file photos/T1-a.jpg is missing{FILE}"


def test_a_photo_without_any_time_is_refused(lone):
    lone.swap("photos.csv", "T1,2026-03-01T18:30", "T1,")
    assert lone.sentence() == ("photos.csv, row 2, column taken_at: the cell is empty, and the photo carries no time of its own; "
                               "accepted: an ISO 8601 time such as 2026-03-01T18:30.")


def test_a_photo_listed_twice_is_refused(lone):
    lone.swap("photos.csv", "photos/T1-b.png,T1", "photos/T1-a.jpg,T1")
    assert lone.sentence() == "photos.csv, row 3, column photo: the photo photos/T1-a.jpg is already in row 2; accepted: each one once."


@pytest.mark.parametrize(("path", "fault"), [
    ("../T1-a.jpg", "../T1-a.jpg leads out of the folder"), ("photos/../../T1-a.jpg", "photos/../../T1-a.jpg leads out of the folder"),
    ("/etc/hostname", "/etc/hostname starts at the root of the disk"), ("C:/T1-a.jpg", "C:/T1-a.jpg names a drive"),
    ("photos\\T1-a.jpg", r'"photos\T1-a.jpg" holds a backslash; folders are parted by /'),
    ("photos//T1-a.jpg", "photos//T1-a.jpg has an empty part"), ("./T1-a.jpg", "./T1-a.jpg has an empty part"),
    ('"photos/T1\n.jpg"', '"photos/T1\N{REPLACEMENT CHARACTER}.jpg" holds a character that cannot be printed'),
    ("a" * 241, '"' + "a" * 59 + '…" is longer than 240 characters'),
])
def test_a_path_that_leads_out_of_the_folder_is_refused(lone, path, fault):
    lone.put("photos.csv", f"photo,unit,taken_at\n{path},T1,2026-03-01\nphotos/T1-a.jpg,T1,2026-03-01\nphotos/T2-a.webp,T2,2026-03-01\n")
    assert lone.sentence() == PHOTO_ROW + fault + PATH


def test_links_are_refused_wherever_they_lead(lone, tmp_path):
    target = tmp_path / "elsewhere.jpg"
    (lone.root / "photos/T1-a.jpg").rename(target)
    (lone.root / "photos/T1-a.jpg").symlink_to(target)
    assert lone.sentence() == f"{PHOTO_ROW}photos/T1-a.jpg is a link to another place, or lies behind one{FILE}"


def test_a_linked_folder_of_photos_is_refused(lone, tmp_path):
    (lone.root / "photos").rename(tmp_path / "photos")
    (lone.root / "photos").symlink_to(tmp_path / "photos")
    assert [sentence.split(": ")[1].split(";")[0] for sentence in lone.sentences()] \
        == [f"photos/{name} is a link to another place, or lies behind one" for name in ("T1-a.jpg", "T1-b.png", "T2-a.webp")]


def test_a_folder_or_pipe_in_place_of_a_photo_is_refused(lone):
    lone.drop("photos/T1-a.jpg", "photos/T1-b.png")
    (lone.root / "photos/T1-a.jpg").mkdir()
    os.mkfifo(lone.root / "photos/T1-b.png")
    assert lone.sentences() == [
        f"{PHOTO_ROW}photos/T1-a.jpg is a folder{FILE}",
        f"photos.csv, row 3, column photo: photos/T1-b.png is not an ordinary file{FILE}",
    ]


FRAME_FAULTS = [
    ("T2,photos/T2-a.webp,by_hand,front,4,3,60,4,59.5,44,5,45,45,30\n", "",
     "frames.csv, column unit: no frame is given for T2, which has photos; accepted: a row for each unit that has photos."),
    ("T1,photos/T1-a.jpg,registered", "T1,photos/T2-a.webp,registered",
     "frames.csv, row 2, column reference_photo: photos/T2-a.webp is a photo of T2; accepted: a photo of T1."),
    ("T1,photos/T1-a.jpg,registered", "T1,photos/T9.jpg,registered", "frames.csv, row 2, column reference_photo: "
     "photos/T9.jpg is not a photo that photos.csv lists; accepted: a photo that photos.csv lists."),
    ("T2,photos/T2-a.webp,by_hand,front,", "T1,photos/T1-a.jpg,registered,front,4,3,60,4,59,44,5,45,45,30\n"
     "T2,photos/T2-a.webp,fixed,front,",
     "frames.csv, row 3, column reference_photo: photos/T1-a.jpg already has a frame; accepted: for a further row the first photo of "
     "the new layout or camera place, or mode by_hand with a row for each photo."),
    ("T2,photos/T2-a.webp,by_hand,front,", "T1,photos/T1-b.png,registered,front,4,3,60,4,59,44,5,45,44,30\n"
     "T2,photos/T2-a.webp,fixed,front,",
     "frames.csv, row 3, column width_cm: 44 differs from row 2 of the same unit; accepted: 45, since all rows of a unit show the same "
     "glass."),
    ("T2,photos/T2-a.webp,by_hand,front,", "T1,photos/T1-b.png,registered,top,4,3,60,4,59,44,5,45,45,30\n"
     "T2,photos/T2-a.webp,fixed,front,",
     "frames.csv, row 3, column view: top differs from row 2 of the same unit; accepted: front, since all rows of a unit show the same "
     "glass."),
    ("T2,photos/T2-a.webp,by_hand,front,", "T1,photos/T1-b.png,by_hand,front,4,3,60,4,59,44,5,45,45,30\n"
     "T2,photos/T2-a.webp,fixed,front,",
     "frames.csv, row 3, column mode: by_hand differs from row 2 of the same unit; accepted: registered, one mode for each unit."),
    ("T1,photos/T1-a.jpg,registered", "T1,photos/T1-a.jpg,by_hand", "photos.csv, row 3, column photo: photos/T1-b.png has no "
     "row in frames.csv; "
     "accepted: a row for each photo of a unit whose mode is by_hand."),
    ("registered,front,4,3,60,4,59.5,44,5,45", "registered,front,4,3,70,4,59.5,44,5,45",
     "frames.csv, row 2, column x2: 70 lies outside the reference photo; accepted: a number from 0 to 64."),
    ("registered,front,4,3,60,4,59.5,44,5,45", "registered,front,60,4,59.5,44,5,45,4,3",
     "frames.csv, row 2, column x1 to y4: the corners do not go round the frame in order; "
     "accepted: top-left, top-right, bottom-right and bottom-left corner, in this order."),
    ("registered,front,4,3,60,4,59.5,44,5,45", "registered,front,4,3,60,4,20,10,5,45",
     "frames.csv, row 2, column x1 to y4: the corners form a shape with a dent or no area; "
     "accepted: top-left, top-right, bottom-right and bottom-left corner, in this order."),
    ("T1,photos/T1-a.jpg,registered,front,4,3,60,4,59.5,44,5,45,45,30", "T1,photos/T1-a.jpg,registered,front,4,3,60,4,59.5,44,5,45,45,0.3",
     "frames.csv, row 2, column height_cm: 0.3 is out of range; accepted: a number from 1 to 500."),
    ("registered,front", "registered,side", "frames.csv, row 2, column view: side is none of the words known here; accepted: front, top."),
]


@pytest.mark.parametrize(("old", "new", "sentence"), FRAME_FAULTS, ids=[sentence[:70] for _, _, sentence in FRAME_FAULTS])
def test_one_wrong_frame_gives_one_sentence(lone, old, new, sentence):
    lone.drop("zones.csv")
    lone.swap("frames.csv", old, new)
    assert lone.sentence() == sentence


def test_photos_without_any_frames_are_one_problem(lone):
    lone.drop("frames.csv")
    assert lone.sentence() == "frames.csv: the file is missing, and photos.csv lists photos; accepted: a row for each unit with photos."


def test_a_frame_by_hand_for_each_photo_is_fine(lone):
    lone.swap("frames.csv", "T1,photos/T1-a.jpg,registered,",
              "T1,photos/T1-b.png,by_hand,front,4,3,60,4,59,44,5,45,45,30\nT1,photos/T1-a.jpg,by_hand,")
    assert [frame.reference_photo for frame in read_folder(lone.root).frames] == ["photos/T1-b.png", "photos/T1-a.jpg", "photos/T2-a.webp"]


def test_a_unit_may_have_a_further_frame_from_a_later_photo_on(lone):
    lone.swap("frames.csv", "T2,photos/T2-a.webp,by_hand,front,", "T1,photos/T1-b.png,registered,front,4,3,60,4,59,44,5,45,45.4,30\n"
              "T2,photos/T2-a.webp,fixed,front,")
    assert [frame.reference_photo for frame in read_folder(lone.root).frames] == ["photos/T1-a.jpg", "photos/T1-b.png", "photos/T2-a.webp"]


def test_corners_are_judged_in_the_upright_photo(lone, make_picture):
    lone.put("photos/T1-a.jpg", make_picture("JPEG", (48, 64), orientation=6))
    assert lone.sentences() == []
    lone.put("photos/T1-a.jpg", make_picture("JPEG", (64, 48), orientation=6))
    assert [sentence.split(":")[0] for sentence in lone.sentences()] == ["frames.csv, row 2, column x2", "frames.csv, row 2, column x3"]


def test_convex_means_turning_one_way_at_every_corner():
    square = [(0, 0), (1, 0), (1, 1), (0, 1)]
    assert is_in_order(square)
    assert is_convex(square)
    assert not is_convex(square[::-1])
    assert not is_convex([(0, 0), (1, 0), (0.3, 0.3), (0, 1)])
    assert not any(is_in_order(square[turn:] + square[:turn]) for turn in (1, 2, 3))


def test_an_audit_point_outside_its_photo_is_refused(folder):
    folder.swap("audit.csv", "10.5", "64.5")
    assert folder.sentence() == "audit.csv, row 2, column x: 64.5 lies outside the photo; accepted: a number from 0 to 64."


def test_zones_without_any_frames_are_one_problem(plain):
    plain.put("zones.csv", "unit,zone,kind,polygon\nT1,bed,floor,0 24; 45 24; 45 30\nT2,bed,floor,0 24; 45 24; 45 30\n")
    assert plain.sentence() == ("frames.csv: the file is missing, and zones.csv draws zones in frames; "
                                "accepted: a row for each unit with zones.")


def test_a_zone_of_a_unit_without_frame_is_refused(lone):
    lone.put("photos.csv", "photo,unit,taken_at\nphotos/T1-a.jpg,T1,2026-03-01\n")
    lone.swap("frames.csv", "T2,photos/T2-a.webp,by_hand,front,4,3,60,4,59.5,44,5,45,45,30\n", "")
    lone.swap("zones.csv", "T1,bed", "T2,bed")
    assert lone.sentence() == "zones.csv, row 2, column unit: T2 has no frame in frames.csv; accepted: a unit with a frame."


def test_a_stroke_picture_without_photo_is_refused(folder, make_picture):
    folder.put("labels/T1-z.png", strokes_png())
    assert folder.sentence() == ("labels/T1-z.png: no photo of that name is listed in photos.csv; "
                                 "accepted: the name of a listed photo, ending in .png.")


def test_a_stroke_picture_of_another_size_is_refused(folder, make_picture):
    folder.put("labels/T1-a.png", make_picture("PNG", (48, 64)))
    assert folder.sentence() == "labels/T1-a.png: the picture has 48 x 64 px; accepted: the size of the upright photo, 64 x 48 px."


def test_unknown_colours_are_unlabelled_but_no_known_colour_at_all_is_a_problem(folder, make_picture):
    folder.swap("labels/classes.csv", "plant,0,158,115", "plant,0,158,114")
    assert folder.sentence() == ("labels/T1-a.png: no stroke has the colour of a class; "
                                 "accepted: strokes in exactly the colours of labels/classes.csv (paint with a hard brush).")


def test_stroke_pictures_without_classes_are_refused(folder):
    folder.drop("labels/classes.csv", "audit.csv")
    assert folder.sentence() == ("labels/classes.csv: the file is missing, and labels holds pictures; "
                                 "accepted: the classes and their colours.")


def test_a_stroke_picture_that_fits_two_photos_is_refused(folder, make_picture):
    folder.put("more/T1-a.jpg", make_picture("JPEG"))
    folder.swap("photos.csv", "photos/T1-b.png", "more/T1-a.jpg")
    assert folder.sentence() == ("labels/T1-a.png: the name fits several photos (photos/T1-a.jpg, more/T1-a.jpg); "
                                 "accepted: photos whose names differ.")


def test_a_broken_stroke_picture_is_refused(folder, make_picture):
    whole = make_picture("PNG", (64, 48))
    place = whole.index(b"IDAT") + 8
    folder.put("labels/T1-a.png", whole[:place] + bytes(8) + whole[place + 8:])
    assert folder.sentence() == "labels/T1-a.png: the picture cannot be decoded; accepted: a PNG picture that is whole."


def test_strokes_painted_over_a_copy_of_the_photo_are_strokes(folder):
    folder.put("labels/T1-a.png", strokes_png(((0, 158, 115), 40), ground=(90, 80, 70, 255)))
    assert folder.sentences() == []


def test_transparent_strokes_are_no_strokes(folder):
    folder.put("labels/T1-a.png", strokes_png(((0, 158, 115, 100), 40)))
    assert folder.sentence().startswith("labels/T1-a.png: no stroke has the colour of a class")


@pytest.mark.parametrize("name", ["T1-a.jpg", "T1-b.xcf"])
def test_strokes_in_another_format_are_refused(folder, name):
    folder.put(f"labels/{name}", b"x")
    assert folder.sentence() == f"labels/{name}: this is no PNG picture; accepted: strokes saved as PNG right in labels."


@pytest.mark.parametrize("name", ["notes.txt", ".DS_Store", "._T1-a.png", "Thumbs.db", "old/T1-a.png"])
def test_other_files_among_the_labels_are_passed_over(folder, name):
    folder.put(f"labels/{name}", b"x")
    assert folder.sentences() == []


def test_a_file_called_labels_is_refused(lone):
    lone.drop("labels/classes.csv")
    (lone.root / "labels").rmdir()
    lone.put("labels", "x")
    assert lone.sentence() == "labels: this is a file; accepted: a folder with pictures of strokes and classes.csv."


def test_a_table_of_classes_under_nearly_its_name_is_named(folder):
    folder.drop("audit.csv")
    (folder.root / "labels/classes.csv").rename(folder.root / "labels/Classes.CSV")
    assert folder.sentence() == ("labels/classes.csv: the file is missing, and labels holds pictures (Classes.CSV lies there: rename it "
                                 "if it is meant); accepted: the classes and their colours.")


def test_classes_with_only_a_header_are_one_problem(folder):
    folder.drop("audit.csv")
    folder.put("labels/classes.csv", "class,r,g,b,counts_as\n")
    assert folder.sentence() == "labels/classes.csv: the file names no class, only a header; accepted: the classes and their colours."
