"""What an earlier kit left in a folder that was taken in from it: which photos it made smaller or left out, and what was judged then."""

import json
from dataclasses import dataclass, field

from fairtank.publish.kit.facts import LEFT_OUT, REDUCED, KitFile
from fairtank.records.folder.carried_json import carried_facts
from fairtank.records.folder.digest import digest_of_files
from fairtank.records.folder.kit_files import AS_MEASURED, CARRIED, DIGESTS, files_from_text
from fairtank.records.folder.paths import CSV_LIMIT_BYTES, TOML_LIMIT_BYTES, read_bytes
from fairtank.records.folder.problems import Refusal
from fairtank.trial import TrialFolder

ORIGINALS = f"{AS_MEASURED}/{DIGESTS}"


@dataclass(frozen=True)
class EarlierKit:
    """An earlier kit. photos: `full` where there was none, else `reduced` or `none`. inputs_digest: over what was judged then; empty where
    the folder was changed since. originals: by path, the photos that it changed or left out."""

    photos: str = "full"
    inputs_digest: str = ""
    originals: dict[str, KitFile] = field(default_factory=dict)

    def left_out(self) -> tuple[KitFile, ...]:
        """The photos that are not there."""
        return tuple(one for one in self.originals.values() if one.what == LEFT_OUT)

    def what_of(self, path: str, sha256: str) -> KitFile | None:
        """The entry of a photo that is still the one which that kit held; None for any other."""
        one = self.originals.get(path)
        return one if one is not None and one.what == REDUCED and one.sha256 == sha256 else None


def earlier_kit(folder: TrialFolder) -> EarlierKit:
    """What an earlier kit left in a folder; of what cannot be read nothing is taken."""
    try:
        text = read_bytes(folder.root, CARRIED, TOML_LIMIT_BYTES).decode()
        originals = {one.path: one for one in files_from_text(read_bytes(folder.root, ORIGINALS, CSV_LIMIT_BYTES).decode())}
    except (Refusal, ValueError):
        return EarlierKit()
    photos, inputs_digest = carried_facts(text)
    if photos not in ("reduced", "none"):
        return EarlierKit()
    is_same = json.loads(text).get("folder_digest") == digest_without_carried(folder)
    return EarlierKit(photos, inputs_digest if is_same else "", originals)


def digest_without_carried(folder: TrialFolder) -> str:
    """The digest over everything that was read but carried.json, which names it."""
    return digest_of_files({path: digest for path, digest in folder.file_digests.items() if path != CARRIED})
