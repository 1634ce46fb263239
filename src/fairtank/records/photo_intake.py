"""The one way by which an upload becomes a stored photo: looked at, freed of its place, kept."""

from dataclasses import dataclass

from fairtank.errors import JobError, plain_reason
from fairtank.records.folder.problems import shown
from fairtank.records.gps import as_kept
from fairtank.records.photo_facts import PhotoFacts, check_whole, facts_of
from fairtank.records.photo_files import PhotoFiles, StoredPhoto


@dataclass(frozen=True)
class TakenIn:
    """An upload that was kept.

    facts: what is said of the photo as it is kept. stored: where it lies and its digest. had_gps: whether it came with a position.
    is_as_it_came: whether it is kept byte for byte as it was sent.
    """

    facts: PhotoFacts
    stored: StoredPhoto
    had_gps: bool
    is_as_it_came: bool


def photo_take_in(content: bytes, name: str, *, files: PhotoFiles, keep_place: bool = False, facts: PhotoFacts | None = None,
                  decoded_later: bool = False) -> TakenIn:  # fmt: skip
    """Keep an upload; PhotoError with the reason, and nothing kept, when it is no photo, damaged, or cannot be freed of its place;
    JobError when the disk does not take it.

    The photo is decoded once, as measuring will, unless whoever sends it asks for its picture afterwards (decoded_later): decoding takes
    four times as long as all the rest, and a photo that is cut off is found without it. facts: of the content, where they are known
    already. keep_place is the keeper's own wish and nothing else. Photos of an imported trial folder do not come this way: they keep their
    bytes, since a seal may name them (see gps).
    """
    facts = facts or facts_of(content, name)
    if not decoded_later:
        check_whole(content, name)
    kept = as_kept(content, facts.media_type, keep_place=keep_place)
    try:
        stored = files.put([kept], called=shown(name))
    except OSError as error:
        raise JobError(f"{shown(name)} could not be kept: {plain_reason(error)}. Nothing of it was stored. Make room on the disk of the "
                       "computer that keeps the shelf, then send it again.") from error
    kept_facts = facts if kept is content else facts_of(kept, name)
    return TakenIn(kept_facts, stored, facts.has_gps, kept is content)
