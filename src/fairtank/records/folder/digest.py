"""One fingerprint over everything that was read from a trial folder."""

import hashlib
from collections.abc import Mapping


def digest_of_bytes(content: bytes) -> str:
    """SHA-256 of one file's content, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def digest_of_files(digests: Mapping[str, str]) -> str:
    """`sha256:` over the files that were read, given as a mapping from path inside the folder to content digest.

    The order of reading, the folder's own place, file times and files that were not read leave it unchanged.
    """
    whole = hashlib.sha256()
    for path in sorted(digests):
        whole.update(f"{path}\0{digests[path]}\n".encode())
    return f"sha256:{whole.hexdigest()}"
