"""New rigs and parts to fill in: sound as they are, and sound with every field in use."""

from pathlib import Path

import pytest

from rigleaf.catalogue.document import read_document
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.catalogue.schema import schemas
from rigleaf.catalogue.validation import validate
from rigleaf.cli import main
from rigleaf.desk.blank import begin_part, begin_rig, blank, uncommented
from rigleaf.desk.errors import DeskError
from rigleaf.site.commands.starter import write_starter
from tests.desk.test_sharing import contents
from tests.site.yaml_guide import write_guide


@pytest.fixture
def guide(tmp_path: Path) -> Path:
    return write_guide(tmp_path / "guide", places=[{"id": "field", "name": "Field"}])


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_a_kind_is_there_and_its_example_is_right(kind: str) -> None:
    model = KINDS[kind].model
    text = blank(model, {"id": "new", "kind": kind, "name": "New"}, {})
    document = read_document("new.yml", uncommented(text).encode())
    assert validate(model, document.data, document, (), kind) is not None, document.faults
    assert {key for key, value in document.data.items() if value is not None} == set(model.model_fields)
    for key, field in model.model_fields.items():
        assert key in ("id", "kind", "name") or (field.description or "").split(".")[0][:60] in " ".join(
            text.replace("#", " ").split()
        )


def test_every_field_of_a_rig_is_there_and_its_example_is_right() -> None:
    document = read_document("new.yml", uncommented(blank(Rig, {"id": "new", "name": "New"}, {})).encode())
    assert validate(Rig, document.data, document, (), "rig") is not None, document.faults
    assert {key for key, value in document.data.items() if value is not None} == set(Rig.model_fields)


@pytest.mark.parametrize("kind", KINDS)
def test_a_new_part_reads_without_faults_at_once(kind: str, guide: Path) -> None:
    before = contents(guide)
    begin_part(guide, kind, "new-one")
    part = read_catalogue(guide).parts["new-one"]
    assert (part.kind, part.name, part.mass) == (kind, "New one", None)
    assert {name: content for name, content in contents(guide).items() if name in before} == before


def test_a_new_rig_reads_without_faults_at_once_and_proposes_what_is_on_the_shelf(guide: Path) -> None:
    said = begin_rig(guide, "garden")
    assert said == f"{guide / 'garden.yml'} is begun: fill in its train, then run: rigleaf check {guide}\n"
    text = (guide / "garden.yml").read_text(encoding="utf-8")
    assert "#train: [tube, camera]\n" in text
    assert "#mount: head\n" in text
    assert "There are: field." in text
    assert main(["check", str(guide)]) == 0


def test_with_all_marks_taken_away_it_is_a_rig_of_that_guide(tmp_path: Path) -> None:
    write_starter(tmp_path / "club")
    begin_rig(tmp_path / "club", "garden")
    path = tmp_path / "club" / "rigs" / "garden.yml"
    assert "holds: [ids of parts]}'." in " ".join(path.read_text(encoding="utf-8").replace("#", " ").split())
    text = uncommented(path.read_text(encoding="utf-8"))
    mine = {"guide-scope-30": "guide-scope", "guide-camera-mono": "guide-camera", "[id-of-a-part]": "[]",
            "[small-mount, power-hub]": "[small-mount]"}  # fmt: skip
    for example, id_ in mine.items():
        text = text.replace(example, id_)
    # What bags hold and leads feed must be in the rig's own lists.
    path.write_text(text.replace("battery-20ah]", "battery-20ah, power-lead]"), encoding="utf-8")
    rig = read_catalogue(tmp_path / "club").rigs["garden"]
    assert rig.night is not None
    assert rig.steps is not None


def test_editors_find_the_schema_where_the_guide_has_it(tmp_path: Path) -> None:
    write_starter(tmp_path / "club")
    begin_part(tmp_path / "club", "optic", "blue-tube")
    path = tmp_path / "club" / "rigs" / "parts" / "blue-tube.yml"
    schema = path.read_text(encoding="utf-8").splitlines()[0].removeprefix("# yaml-language-server: $schema=")
    assert (path.parent / schema).name in schemas()
    assert (path.parent / schema).is_file()


@pytest.mark.parametrize("id_", ["guide", "places", "targets", "carriers", "rules"])
def test_a_rig_called_like_a_file_of_the_guide(id_: str, guide: Path) -> None:
    before = contents(guide)
    begin_rig(guide, id_)
    assert id_ in read_catalogue(guide).rigs
    assert {name: content for name, content in contents(guide).items() if name in before} == before


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("rig", "rig"), "there is a rig 'rig' already; choose another id"),
        (("rig", "My Rig"), "'My Rig' is not an id; use small letters, digits and hyphens, like 'my-rig'"),
        (("rig", "../out"), "'../out' is not an id; use small letters, digits and hyphens, like 'out'"),
        (("part", "optc", "new"), "unknown kind 'optc'; did you mean 'optic'?"),
        (("part", "optic", "tube"), "there is a part 'tube' already; choose another id"),
        (
            ("part", "optic"),
            "say 'new guide DIR', 'new rig ID' or 'new part KIND ID', such as 'new part optic blue-tube'",
        ),
        (("rig",), "say 'new guide DIR', 'new rig ID' or 'new part KIND ID', such as 'new part optic blue-tube'"),
    ],
)
def test_wrong_use_names_the_cure_and_writes_nothing(
    words: tuple[str, ...], message: str, guide: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = contents(guide)
    assert main(["new", *words, "--dir", str(guide)]) == 2
    assert capsys.readouterr().err == f"rigleaf: {message}\n"
    assert contents(guide) == before


def test_an_empty_folder_may_begin_with_a_part(tmp_path: Path) -> None:
    begin_part(tmp_path, "optic", "blue-tube")
    assert list(read_catalogue(tmp_path).parts) == ["blue-tube"]
    with pytest.raises(DeskError):
        begin_part(tmp_path, "optic", "blue-tube")
