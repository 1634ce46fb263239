"""Where a public page will stand: an address as people type it, checked, with a slash at its end."""

from urllib.parse import quote, urlsplit

from fairtank.errors import InputError

_ACCEPTED = "the address of the folder, such as https://trials.example/dark-break/"
LONGEST_ADDRESS = 500


def address_of(typed: str) -> str:
    """The address with a slash at its end; empty for none.

    Parameters
    ----------
    typed : str
        As somebody typed it.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If it is no address of a page.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> address_of("https://trials.example/dark break"), address_of("")
    ('https://trials.example/dark%20break/', '')
    """
    text = typed.strip()
    if not text:
        return ""
    try:
        parts = urlsplit(text)
        is_whole = parts.scheme in ("http", "https") and bool(parts.hostname) and not parts.query and not parts.fragment \
            and parts.username is None and (parts.port is None or parts.port > 0)
    except ValueError:
        is_whole = False
    if not is_whole or len(text) > LONGEST_ADDRESS or any(ord(sign) < 32 for sign in text):
        raise InputError("the address", f"'{text[:80]}'", _ACCEPTED)
    path = quote(parts.path.removesuffix("index.html"), safe="/%:@!$&'()*+,;=~-._")
    return f"{parts.scheme}://{parts.netloc}{path.rstrip('/')}/"
