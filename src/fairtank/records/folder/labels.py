"""The stroke pictures in `labels/`: each belongs to a photo, has its size, and holds at least one stroke."""

import warnings
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from fairtank.records.folder.checks import RowSets, has_photo_list, photos_listed
from fairtank.records.folder.digest import digest_of_bytes
from fairtank.records.folder.paths import PICTURE_LIMIT_BYTES, read_bytes
from fairtank.records.folder.pictures import Picture, holds_colour, picture_from_bytes
from fairtank.records.folder.problems import Problems, Refusal, listed
from fairtank.records.folder.tables import CLASSES
from fairtank.trial import Label

FOLDER = "labels"
_AT_ONCE = 2
_OTHER_PICTURES = (".jpg", ".jpeg", ".webp", ".gif", ".bmp", ".tif", ".tiff", ".heic", ".xcf", ".psd", ".kra")


@dataclass(frozen=True)
class StrokeFiles:
    """The names of the PNG files in labels/, sorted. is_at_fault: something in the folder, or the folder itself, was refused."""

    names: tuple[str, ...] = ()
    is_at_fault: bool = False


def strokes_in_folder(root: Path, problems: Problems) -> StrokeFiles:
    """What lies in labels/; strokes saved in another format than PNG are noted, other files are passed over."""
    folder = root / FOLDER
    if folder.is_symlink():
        problems.add(FOLDER, None, None, "the folder is a link to another place", "an ordinary folder")
        return StrokeFiles(is_at_fault=True)
    try:
        entries = sorted(folder.iterdir())
    except FileNotFoundError:
        return StrokeFiles()
    except NotADirectoryError:
        problems.add(FOLDER, None, None, "this is a file", "a folder with pictures of strokes and classes.csv")
        return StrokeFiles(is_at_fault=True)
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        problems.add(FOLDER, None, None, f"the folder cannot be opened ({reason})", "an ordinary folder")
        return StrokeFiles(is_at_fault=True)
    names = tuple(entry.name for entry in entries if entry.name.lower().endswith(".png") and not entry.name.startswith("."))
    odd = [entry.name for entry in entries if entry.suffix.lower() in _OTHER_PICTURES and not entry.name.startswith(".")]
    for name in odd:
        problems.add(f"{FOLDER}/{name}", None, None, "this is no PNG picture", f"strokes saved as PNG right in {FOLDER}")
    return StrokeFiles(names, bool(odd))


def labels_in_folder(root: Path, names: tuple[str, ...], row_sets: RowSets, pictures: Mapping[str, Picture], digests: dict[str, str],
                     problems: Problems) -> tuple[Label, ...]:
    """The labels that belong to listed photos, by photo; anything wrong with a stroke picture is noted."""
    by_stem: dict[str, list[str]] = {}
    for photo in photos_listed(row_sets):
        by_stem.setdefault(PurePosixPath(photo).stem, []).append(photo)
    classes = [row.values for row in row_sets["label_classes"].rows]
    readable = all({"r", "g", "b"} <= values.keys() for values in classes)
    colours = tuple((values["r"], values["g"], values["b"]) for values in classes) if readable else ()
    labels = []
    found = {name: by_stem.get(PurePosixPath(name).stem, []) for name in names}
    checked = _pictures_checked(root, [(f"{FOLDER}/{name}", pictures.get(photos[0]) if photos else None) for name, photos in found.items()],
                                colours)
    for (name, photos), (digest, refusal) in zip(found.items(), checked, strict=True):
        path = f"{FOLDER}/{name}"
        if not photos and has_photo_list(row_sets):
            problems.add(path, None, None, "no photo of that name is listed in photos.csv", "the name of a listed photo, ending in .png")
        elif len(photos) > 1:
            problems.add(path, None, None, f"the name fits several photos ({listed(tuple(photos))})", "photos whose names differ")
        elif photos:
            labels.append(Label(photos[0], path))
        if digest:
            digests[path] = digest
        if refusal is not None:
            problems.refuse(path, None, None, refusal)
    return tuple(labels)


def _pictures_checked(root: Path, pictures: Sequence[tuple[str, Picture | None]], colours: tuple[tuple[int, int, int], ...],
                      ) -> list[tuple[str, Refusal | None]]:
    """The digest of each stroke picture, empty where it cannot be read, and what is wrong with it; decoded beside each other."""
    with warnings.catch_warnings(), ThreadPoolExecutor(_AT_ONCE) as pool:
        warnings.simplefilter("ignore")  # out here, since the filter is one for all threads
        return list(pool.map(lambda one: _picture_checked(root, one[0], one[1], colours), pictures))


def _picture_checked(root: Path, path: str, photo: Picture | None, colours: tuple[tuple[int, int, int], ...]) -> tuple[str, Refusal | None]:
    digest = ""
    try:
        content = read_bytes(root, path, PICTURE_LIMIT_BYTES, called="the picture")
        digest = digest_of_bytes(content)
        picture = picture_from_bytes(path, content, called="the picture")
        if photo and (picture.width, picture.height) != (photo.width, photo.height):
            raise Refusal(f"the picture has {picture.width} x {picture.height} px",
                          f"the size of the upright photo, {photo.width} x {photo.height} px")
        if photo and colours:
            _check_colours(content, colours)
    except Refusal as refusal:
        return digest, refusal
    return digest, None


def _check_colours(content: bytes, colours: tuple[tuple[int, int, int], ...]) -> None:
    """Strokes are there. What else the picture shows does not matter: strokes may be painted over a copy of the photo."""
    try:
        found = holds_colour(content, colours)
    except Exception as error:  # on broken bytes the decoder raises errors of every kind
        raise Refusal("the picture cannot be decoded", "a PNG picture that is whole") from error
    if not found:
        raise Refusal("no stroke has the colour of a class", f"strokes in exactly the colours of {CLASSES.file} (paint with a hard brush)")
