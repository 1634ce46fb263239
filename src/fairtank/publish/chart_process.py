"""A process of its own that draws charts: it reads descriptions and answers with SVG, so that whoever asks can go on meanwhile.

Each message is its length in four bytes, then its text in UTF-8; an answer of no length says that the drawing failed. The first message
is the folder of typefaces. It imports nothing of fairtank, and is started by path.
"""

import sys
from typing import BinaryIO

_WARMING = ('{"$schema": "https://vega.github.io/schema/vega-lite/v6.json", "data": {"values": [{"a": 1}]}, "mark": "point", '
            '"encoding": {"x": {"field": "a", "type": "quantitative"}}}')


def message_read(stream: BinaryIO) -> str | None:
    """The next message; None at the end."""
    head = stream.read(4)
    if len(head) < 4:
        return None
    return stream.read(int.from_bytes(head, "big")).decode()


def message_write(stream: BinaryIO, text: str) -> None:
    """Send a message."""
    content = text.encode()
    stream.write(len(content).to_bytes(4, "big") + content)
    stream.flush()


def main() -> None:
    """Draw until nothing more is asked."""
    import vl_convert

    asked, answered = sys.stdin.buffer, sys.stdout.buffer
    fonts = message_read(asked)
    if fonts is None:
        return
    vl_convert.register_font_directory(fonts)
    vl_convert.vegalite_to_svg(_WARMING, allowed_base_urls=[])  # its engine starts while nothing is asked yet
    while (description := message_read(asked)) is not None:
        try:
            svg = vl_convert.vegalite_to_svg(description, allowed_base_urls=[])
        except ValueError:
            svg = ""
        message_write(answered, svg)


if __name__ == "__main__":
    main()
