"""A small valid trial folder, written by hand, and ways to spoil it."""

import io
from functools import cache
from pathlib import Path

import pytest
from tests.records.learnt_once import learnt_once

from fairtank.errors import FolderError
from fairtank.records.folder import read_folder

PLAN = """\
[trial]
title = "One cover glass more"
question = "Does a second cover glass slow the algae?"
expect = "less"
[design]
kind = "side_by_side"
start = 2026-03-01
days = 42
drawn = true
seed = 7
[[arm]]
key = "R"
role = "reference"
[[arm]]
key = "C"
role = "changed"
name = "two glasses"
[[unit]]
key = "T1"
arm = "R"
position = 1
[[unit]]
key = "T2"
arm = "C"
position = 2
[[measure]]
key = "algae_cover"
role = "primary"
scale = "logit"
margin = 0.5
window = [0, 42]
[[measure]]
key = "canopy_height"
[looks]
days = [14, 28, 42]
budget = [0.005, 0.010, 0.035]
"""

FILES = {
    "trial.toml": PLAN,
    "photos.csv": """\
photo,unit,taken_at
photos/T1-a.jpg,T1,2026-03-01T18:30
photos/T1-b.png,T1,2026-03-04T18:31:05
photos/T2-a.webp,T2,2026-03-01T18:35
""",
    "frames.csv": """\
unit,reference_photo,mode,view,x1,y1,x2,y2,x3,y3,x4,y4,width_cm,height_cm
T1,photos/T1-a.jpg,registered,front,4,3,60,4,59.5,44,5,45,45,30
T2,photos/T2-a.webp,by_hand,front,4,3,60,4,59.5,44,5,45,45,30
""",
    "zones.csv": "unit,zone,kind,polygon\nT1,bed,floor,0 24; 45 24; 45 30; 0 30\n",
    "labels/classes.csv": "class,r,g,b,counts_as\nplant,0,158,115,\nalgae,213,94,0,\nbackground,0,114,178,\nplant_red,204,121,167,plant\n",
    "audit.csv": "photo,x,y,class,rater\nphotos/T1-a.jpg,10.5,20,plant_red,one\n",
    "scores.csv": "photo,measure,rater,value\nphotos/T1-a.jpg,algae_cover,one,3\n",
    "pairs.csv": "measure,rater,photo_a,photo_b,more\nalgae_cover,one,photos/T1-a.jpg,photos/T2-a.webp,b\n",
    "readings.csv": "unit,taken_at,quantity,value,unit_of_measure,method,below_detection\nT1,2026-03-02,nitrate,5,mg/L,drops,true\n",
    "events.csv": """\
units,at,until,kind,note,effect
*,2026-03-03,2026-03-04,outage,"power was off, twice",exclude_window
T1;T2,2026-03-08T10:00,,water change,,
T2,2026-03-09,,trim,,keep
""",
    "series.csv": "unit,day,measure,value,se\nT2,3,algae_cover,4.5,\nT1,3,algae_cover,12.25,0.5\nT1,0,algae_cover,9,\n",
    "spread.csv": "measure,scale,summary,window_class,tank_class,variance,df,trial\nalgae_cover,logit,mean,42,45 L,0.16,4,first\n",
    "build.csv": """\
unit,material,kind,planned,weighed,unit_of_measure,batch,note
T1,sand,substrate,4.5,4.48,kg,A,
T2,sand,substrate,4.5,,kg,A,
""",
    "cards.csv": "unit,card,code\nT1,17,WUM\nT2,0,KAL\n",
    "factors.csv": "unit,factor,value,unit_of_measure,note\nT1,lamp_age,14,months,\nT2,light_on,10:30,,timer\n,tools,one set,,\n",
    "lens.csv": "camera,focal_px,k1,k2,residual_px,pictures,units\nphone,1512.4,-0.0312,0.0081,0.081,6,T1;T2\n",
    "chores.csv": """\
unit,chore,kind,due,done_at,minutes,quantity,amount,unit_of_measure,by,note
T1,feed,feed,3,2026-03-04T19:00,2,,0.5,g,one,
T2,feed,feed,3,2026-03-04T19:05,2.5,,0.5,g,one,"spilt, a little"
""",
}


@cache
def picture_bytes(kind: str = "JPEG", size: tuple[int, int] = (64, 48), taken_at: str = "", orientation: int = 1) -> bytes:
    """A tiny picture with an EXIF block; the same one is made once."""
    from PIL import Image

    exif = Image.Exif()
    exif[0x0112] = orientation
    if taken_at:
        exif.get_ifd(0x8769)[36867] = taken_at
    file = io.BytesIO()
    image = Image.new("RGB", size, (40, 90, 50))
    image.putpixel((size[0] // 2, size[1] // 2), (0, 158, 115))
    image.save(file, kind, exif=exif, **({"lossless": True} if kind == "WEBP" else {}))
    return file.getvalue()


@pytest.fixture(scope="session", autouse=True)
def _same_colours_are_learnt_once():
    with learnt_once():
        yield


class Folder:
    """A trial folder on disk that tests may spoil."""

    def __init__(self, root: Path) -> None:
        self.root = root

    def put(self, file: str, content: str | bytes) -> None:
        place = self.root / file
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content.encode() if isinstance(content, str) else content)

    def swap(self, file: str, old: str, new: str) -> None:
        """Replace a piece of a text file; the piece must stand there exactly once."""
        text = (self.root / file).read_text(encoding="utf-8")
        assert text.count(old) == 1, (file, old, text.count(old))
        self.put(file, text.replace(old, new))

    def drop(self, *files: str) -> None:
        for file in files:
            (self.root / file).unlink()

    def sentences(self) -> list[str]:
        """What reading says is wrong; nothing when the folder is in order."""
        try:
            read_folder(self.root)
        except FolderError as error:
            return [str(problem) for problem in error.problems]
        return []

    def sentence(self) -> str:
        """The only thing that is wrong."""
        sentences = self.sentences()
        assert len(sentences) == 1, sentences
        return sentences[0]

    def listing(self) -> list[tuple[str, int, int]]:
        """Every file with its size and time, to see that nothing was written."""
        return sorted((str(path), path.lstat().st_size, path.lstat().st_mtime_ns) for path in self.root.rglob("*"))


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """A valid folder with every table, three photos and one stroke picture."""
    made = Folder(tmp_path / "trial")
    for file, text in FILES.items():
        made.put(file, text)
    made.put("photos/T1-a.jpg", picture_bytes("JPEG"))
    made.put("photos/T1-b.png", picture_bytes("PNG"))
    made.put("photos/T2-a.webp", picture_bytes("WEBP"))
    made.put("labels/T1-a.png", picture_bytes("PNG"))
    return made


@pytest.fixture
def plain(tmp_path: Path) -> Folder:
    """A valid folder with a plan and ready-made values, without photos."""
    made = Folder(tmp_path / "plain")
    for file in ("trial.toml", "series.csv"):
        made.put(file, FILES[file])
    return made


@pytest.fixture
def make_picture():
    """`picture_bytes`, handed to tests."""
    return picture_bytes
