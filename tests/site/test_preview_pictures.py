"""Preview pictures as files: what an independent reader finds in them, how large they are, the same every time."""

import subprocess
import sys
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from rigleaf.site.book import make_book
from rigleaf.site.previews.drawing import ACCENT, INK, PAPER, draw
from rigleaf.site.previews.layout import HEIGHT, PLATE_BOX, WIDTH, Content, lay_out
from rigleaf.site.previews.pictures import GUIDE_PICTURE, guide_content, guide_preview, rig_content, rig_preview
from rigleaf.site.typeset.addresses import Addresses
from tests.site.preview_rigs import guide, studied
from tests.site.yaml_guide import read_guide

LARGEST = 40_000


def opened(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data))
    image.load()
    return image


def test_every_picture_of_the_demo_is_small_and_whole(project: Path) -> None:
    demo = guide(project)
    found = dict([guide_preview(demo, studied(demo)), *(rig_preview(demo, one) for one in studied(demo))])
    assert set(found) == {GUIDE_PICTURE, *(f"assets/previews/{id_}.png" for id_ in demo.rigs)}
    for path, data in found.items():
        picture = opened(data)
        assert (picture.size, picture.mode, picture.format) == ((WIDTH, HEIGHT), "P", "PNG"), path
        assert len(data) < LARGEST, path
        assert picture.info.keys() <= {"transparency"}, "no date, no name of a program"
    assert len({sha256(data).hexdigest() for data in found.values()}) == len(found), "no two rigs have one picture"


def test_pictures_are_ink_on_paper(project: Path) -> None:
    demo = guide(project)
    study = next(study for study in studied(demo) if study.rig.id == "curlew-twin")
    pixels = np.asarray(opened(draw(lay_out(rig_content(demo, study)))).convert("RGB"))
    colours, counts = np.unique(pixels.reshape(-1, 3), axis=0, return_counts=True)
    assert tuple(colours[counts.argmax()]) == PAPER
    assert {INK, ACCENT} <= {tuple(colour) for colour in colours.tolist()}
    assert len(colours) <= 32
    assert (pixels[:20] == PAPER).all(), "the margins are empty"
    assert (pixels[-20:] == PAPER).all()
    assert (pixels[:, :20] == PAPER).all()


def test_the_frame_is_where_the_plan_has_it(project: Path) -> None:
    """Measured in the picture itself: the outermost dark columns and rows of the frame's lines."""
    demo = guide(project)
    study = next(study for study in studied(demo) if study.rig.id == "wagtail-moon")
    plan = lay_out(rig_content(demo, study))
    assert plan.plate is not None
    dark = np.asarray(opened(draw(plan)).convert("L")) < 80
    left, top, right, bottom = map(int, PLATE_BOX)
    inner = dark[top + 8 : bottom - 8, left + 8 : right - 8]
    columns = np.flatnonzero(inner.sum(axis=0) > 100) + left + 8
    rows = np.flatnonzero(inner.sum(axis=1) > 100) + top + 8
    drawn = (columns[0], rows[0], columns[-1], rows[-1])
    for edge, planned in zip(drawn, plan.plate.frames[0], strict=True):
        assert edge == pytest.approx(planned, abs=3)
    assert (rows[-1] - rows[0]) / (columns[-1] - columns[0]) == pytest.approx(2 / 3, abs=0.01)


def test_the_same_plan_is_the_same_picture_in_another_process() -> None:
    script = (
        "import sys; from hashlib import sha256; from rigleaf.site.previews.drawing import draw;"
        "from rigleaf.site.previews.layout import Content, lay_out;"
        "plan = lay_out(Content('Club', 'Rig of the Moon', (('Mass in all', '12.3 kg'),), ('Findings', '3 sound')));"
        "print(sha256(draw(plan)).hexdigest())"
    )
    runs = [subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True) for _ in "ab"]
    content = Content("Club", "Rig of the Moon", (("Mass in all", "12.3 kg"),), ("Findings", "3 sound"))
    assert {run.stdout.strip() for run in runs} == {sha256(draw.__wrapped__(lay_out(content))).hexdigest()}


@pytest.mark.parametrize("name", ["赤道儀", "😀" * 200, "W" * 200, "<b>&amp;</b>", "Ж" * 200])
def test_rigs_of_any_name(name: str, tmp_path: Path) -> None:
    from tests.chapters.small_guide import RIG

    found = read_guide(tmp_path, rigs=[{**RIG, "name": name}])
    picture = opened(dict(rig_preview(found, one) for one in studied(found))["assets/previews/rig.png"])
    assert picture.size == (WIDTH, HEIGHT)


def test_a_rig_of_which_next_to_nothing_is_known(tmp_path: Path) -> None:
    rig = {"id": "bare", "name": "Bare", "summary": "Nobody has said yet.", "train": ["tube"]}
    found = read_guide(tmp_path, shelf={"tube": {"kind": "optic", "name": "Tube"}}, rigs=[rig])
    study = studied(found)[0]
    content = rig_content(found, study)
    assert content.plate is None
    assert "Nobody has said yet." in " ".join(words.text for words in lay_out(content).words)
    assert opened(draw(lay_out(content))).size == (WIDTH, HEIGHT)
    assert guide_content(found, (study,)).plate is None
    assert opened(draw(lay_out(guide_content(found, ())))).size == (WIDTH, HEIGHT)


def test_nothing_is_drawn_where_nobody_would_find_it(tmp_path: Path) -> None:
    """Previews need whole addresses: without the site's, there are no pictures, and no page names one."""
    found = read_guide(tmp_path)
    without, known = (make_book(found, Addresses(site=site)) for site in ("", "https://rigs.example/"))
    assert not [path for path in without.files if "previews" in path]
    assert without.picture is None
    assert all(page.picture is None for page in without.pages)
    assert known.picture is not None
    named = {known.picture.path, *(page.picture.path for page in known.pages if page.picture)}
    assert named == {path for path in known.files if "previews" in path}
    assert len(named) == 2
