"""Stroke pictures for the small trial folder: px in given colours, the rest transparent."""

import io

PLANT = (0, 158, 115)


def strokes_png(*painted, size=(64, 48), ground=(0, 0, 0, 0)):
    """A PNG; each of `painted` is a colour, red green blue or with its opacity, and how many px have it."""
    from PIL import Image

    image = Image.new("RGBA", size, ground)
    place = 0
    for colour, count in painted:
        for _ in range(count):
            image.putpixel((place % size[0], place // size[0]), (*colour, 255)[:4])
            place += 1
    file = io.BytesIO()
    image.save(file, "PNG")
    return file.getvalue()


def with_strokes(folder):
    """The folder, its one stroke picture painted with a hard brush."""
    folder.put("labels/T1-a.png", strokes_png((PLANT, 40)))
    return folder
