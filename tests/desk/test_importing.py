"""A list of a spreadsheet into a guide: what is missing is added, what cannot be used is told, nothing else changes."""

import csv
import io
import re
import time
from pathlib import Path

import pytest

from rigleaf.catalogue.faults import CatalogueError
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.cli import main
from rigleaf.desk.columns import find_leaf, read_header
from rigleaf.desk.errors import DeskError
from rigleaf.desk.importing import import_list
from rigleaf.desk.spreadsheet import column_name, read_sheet
from tests.chapters.small_guide import PARTS
from tests.desk.test_sharing import contents
from tests.site.yaml_guide import write_guide

LIST = '''\
Name,Type,Weight [lb],Focal length (mm),Size (cm),Qty,Notes,Shelf
Old refractor,Telescope,11,910,80 x 20 x 20,2,"Two
lines, ""quoted""",A3
Köcher,bag,1.5,,n/a,1,,B
'''


@pytest.fixture
def guide(tmp_path: Path) -> Path:
    return write_guide(tmp_path / "guide")


def listed(tmp_path: Path, text: str | bytes, name: str = "Our list.csv") -> Path:
    path = tmp_path / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def test_rows_become_parts(guide: Path, tmp_path: Path) -> None:
    before = contents(guide)
    said = import_list(listed(tmp_path, LIST), guide)
    found = read_catalogue(guide).parts
    assert list(found)[: len(PARTS) + 2] == ["old-refractor", "kocher", *PARTS]
    optic = found["old-refractor"]
    assert (optic.kind, optic.owned, optic.notes) == ("optic", 2, 'Two\nlines, "quoted"')
    assert optic.mass is not None
    assert optic.mass.value == pytest.approx(11 * 0.45359237)
    assert optic.packed == (800, 200, 200)
    assert found["kocher"].name == "Köcher"
    assert found["kocher"].packed is None
    assert {name: content for name, content in contents(guide).items() if name in before} == before
    assert "  column C 'Weight [lb]' -> mass (2)" in said
    assert "row 1, column H 'Shelf': no field is called so" in said
    assert "notes are shown on public pages" in said
    assert "Written: parts/our-list.yml." in said


def test_a_second_import_of_the_same_list_changes_nothing(guide: Path, tmp_path: Path) -> None:
    path = listed(tmp_path, LIST)
    import_list(path, guide)
    before = contents(guide)
    assert "Nothing to write: the guide says all of this already." in import_list(path, guide)
    assert contents(guide) == before


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_however_the_list_was_saved(delimiter: str, encoding: str, end: str, guide: Path, tmp_path: Path) -> None:
    rows = list(csv.reader(io.StringIO(LIST)))
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator=end).writerows(rows)
    said = import_list(listed(tmp_path, out.getvalue().encode(encoding)), guide)
    found = read_catalogue(guide).parts
    assert found["old-refractor"].notes == 'Two\nlines, "quoted"'
    assert found["kocher"].name == "Köcher"
    assert ("read as Western European (Latin-1): look at accents and signs" in said) == (encoding == "cp1252")


def test_a_line_that_names_the_delimiter(guide: Path, tmp_path: Path) -> None:
    path = listed(tmp_path, "sep=;\r\nName;Kind;Mass (kg)\r\nA;bag;1,5\r\nB;bags and things;1\r\n")
    said = import_list(path, guide)
    assert read_catalogue(guide).parts["a"].mass is not None
    assert "row 3, column B 'Kind': 'bags and things' is no kind; " in said  # as the spreadsheet counts


def test_decimal_commas(guide: Path, tmp_path: Path) -> None:
    text = 'Name;Kind;Mass (kg);Rear thread\nA;spacer;"1,5";M48 x 0,75 male\nB;spacer;1.250,5;\n'
    import_list(listed(tmp_path, text), guide)
    parts = read_catalogue(guide).parts
    assert [parts[id_].mass.value for id_ in "ab"] == [1.5, 1250.5]  # type: ignore[union-attr]
    assert str(parts["a"].rear) == "M48 x 0.75 male"  # type: ignore[attr-defined]


def test_a_number_that_may_mean_two_things_is_asked_about(guide: Path, tmp_path: Path) -> None:
    path = listed(tmp_path, 'Name,Kind,Mass (g)\nA,bag,"1,234"\n')
    assert "'1,234' can be read in two ways; say 'decimal: comma' or" in import_list(path, guide, dry_run=True)
    mapping = listed(tmp_path, "decimal: point\n", "m.yml")
    import_list(path, guide, mapping)
    assert read_catalogue(guide).parts["a"].mass.value == 1.234  # type: ignore[union-attr]


def test_only_what_is_missing_is_added_to_a_part_that_is_there(guide: Path, tmp_path: Path) -> None:
    shelf = guide / "parts" / "shelf.yml"
    shelf.write_text(
        "# Ours.\n- id: tube\n  kind: optic\n  name: Tube\n  mass: {stated: 2.6 kg, measured: 2.9 kg}  # weighed\n"
        "\n# A bag.\n- {id: case, kind: bag, name: Grey case, asset: B-1}\n"
    )
    (guide / "rig.yml").unlink()
    text = (
        "id,name,kind,mass,aperture (mm),serial number,asset,load limit\n"
        "tube,The tube,optic,2.6 kg,80,SN-1,,\n,Case,bag,1 kg,,,B-1,9 kg\n"
    )
    said = import_list(listed(tmp_path, text), guide)
    assert shelf.read_text() == (
        "# Ours.\n- id: tube\n  kind: optic\n  name: Tube\n  mass: {stated: 2.6 kg, measured: 2.9 kg}  # weighed\n"
        "  aperture: 80 mm\n  private: {serial: SN-1}\n"
        "\n# A bag.\n- {id: case, kind: bag, name: Grey case, asset: B-1, mass: 1 kg, load_limit: 9 kg}\n"
    )
    assert "0 new, 2 with more fields, 0 as they are" in said


def test_what_the_guide_says_already_is_never_changed(guide: Path, tmp_path: Path) -> None:
    before = contents(guide)
    said = import_list(
        listed(tmp_path, "id,name,kind,mass\ntube,T,optic,3 kg\nhead,H,tripod,9 kg\nlegs,L,tripod,3000 g\n"), guide
    )
    assert "row 2, column D 'mass': 'tube' says '2.9 kg' already; '3 kg' was not used" in said
    assert "row 3, column C 'kind': 'head' is a mount in your guide, not a tripod; nothing of the row was used" in said
    assert "0 new, 0 with more fields, 2 as they are" in said
    assert contents(guide) == before


def test_a_file_that_cannot_take_more_is_left_alone_and_told(guide: Path, tmp_path: Path) -> None:
    shelf = guide / "parts" / "shelf.yml"
    shelf.write_text("- &a {id: tube, kind: optic, name: Tube}\n")
    (guide / "rig.yml").write_text("id: rig\nname: Rig\n")
    (guide / "parts" / "more.yml").write_text("- id: bag\n  kind: bag\n  name: Bag\n...\n")
    path = listed(tmp_path, "id,name,kind,mass (kg)\nbag,Bag,bag,1\nnew,New,bag,2\n", "more.csv")
    before = contents(guide)
    import_list(path, guide)
    after = contents(guide)
    assert {name: after[name] for name in before if name != "parts/more.yml"} == {
        name: before[name] for name in before if name != "parts/more.yml"
    }
    assert read_catalogue(guide).parts["new"].mass is not None


def test_length_width_and_height_make_a_size(guide: Path, tmp_path: Path) -> None:
    text = "Name,Kind,Length (cm),Width (cm),Height (cm)\nA,bag,80,20,20\nB,bag,80,,20\n"
    said = import_list(listed(tmp_path, text), guide)
    parts = read_catalogue(guide).parts
    assert parts["a"].packed == (800, 200, 200)
    assert parts["b"].packed is None
    assert "row 3, column E 'Height (cm)': length, width and height make a size only together" in said


def test_a_mapping_says_what_headers_do_not(guide: Path, tmp_path: Path) -> None:
    text = "Bezeichnung;Art;Gewicht;Intern;Rest\nRohr;Fernrohr;4,5;x1;?\nBrett;Platte;1;x2;y\n"
    mapping = """\
columns:
  Bezeichnung: name
  art: {field: kind, words: {Fernrohr: optic, Platte: fixing}}
  Gewicht: {field: mass, unit: kg}
  Intern: private.remarks
  Rest: leave out
"""
    said = import_list(listed(tmp_path, text), guide, listed(tmp_path, mapping, "m.yml"))
    parts = read_catalogue(guide).parts
    assert (parts["rohr"].kind, parts["brett"].kind) == ("optic", "fixing")
    assert parts["rohr"].private is not None
    assert parts["rohr"].private.remarks == "x1"
    assert "Not used" not in said


def test_faults_of_a_mapping_are_told_by_place_and_cure(guide: Path, tmp_path: Path) -> None:
    mapping = """\
colunms: {}
columns:
  Nmae: name
  Name: nane
  Kind: {field: mass, unit: mm}
kind: optik
decimal: dot
"""
    path = listed(tmp_path, mapping, "m.yml")
    with pytest.raises(CatalogueError) as caught:
        import_list(listed(tmp_path, "Name,Kind\nA,bag\n"), guide, path)
    assert str(caught.value).splitlines() == [
        f"{path}:1:1: unknown key 'colunms' in a mapping; did you mean 'columns'?",
        f"{path}:3:3: the list has no column 'Nmae'; did you mean 'Name'?",
        f"{path}:4:9: unknown field 'nane'; did you mean 'name'?",
        f"{path}:5:29: 'mm' is not a unit of 'mass'",
        f"{path}:6:7: unknown kind 'optik'; did you mean 'optic'?",
        f"{path}:7:10: 'dot' is not one of point, comma",
    ]


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "1:1: this list is empty; its first row names the columns, and each further row is a part"),
        (b"Name,Kind\n", "1:1: this list is empty"),
        (b"PK\x03\x04rest", "1:1: this is a spreadsheet program's own file; save the sheet as CSV and import that"),
        (b"a," * 300 + b"\nb\n", "1:1: the row has more than 200 columns"),
        (b"n" * 5_000_001, "1:1: the list is larger than 5,000,000 bytes; split it"),
        (b"a,b\n" + b"x" * 200_000 + b",y\n", "this is not a list that can be read: field larger than field limit"),
    ],
)
def test_what_is_no_list_is_told(content: bytes, message: str, guide: Path, tmp_path: Path) -> None:
    path = listed(tmp_path, content)
    with pytest.raises(CatalogueError) as caught:
        import_list(path, guide)
    assert message in str(caught.value)
    assert len(caught.value.faults) == 1


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("Item no,Kind\nA,bag\n", "no column holds the names; call one 'Name', or say so in a mapping"),
        ("Name,Mass\nA,1 kg\n", "no column holds the kinds; call one 'Kind', or say 'kind: optic' or the like"),
        ("Name,Kind\n望遠鏡,optic\n", "no id can be made of '望遠鏡'; add a column 'id'"),
        ("Name,Kind\n-,optic\n", "the row has no name; nothing of it was used"),
        ("Id,Name,Kind\n../x,A,optic\n", "'../x' is not an id, like 'x'; nothing of the row was used"),
    ],
)
def test_a_list_of_which_nothing_can_be_used(text: str, why: str, guide: Path, tmp_path: Path) -> None:
    with pytest.raises(DeskError) as caught:
        import_list(listed(tmp_path, text), guide)
    assert why in str(caught.value)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("Mass\n4", "row 2, column C 'Mass': '4' has no unit; write it in the header, in brackets, like '(kg)'"),
        ("Mass (kgs)\n4", "row 2, column C 'Mass (kgs)': 'kgs' is not a unit of mass; did you mean 'kg'?"),
        ("Mass (kg)\n-4", "row 2, column C 'Mass (kg)': '-4 kg' is below the least that makes sense (0 kg)"),
        ("Fcal length\n4", "row 1, column C 'Fcal length': no field is called so; the nearest known is 'focal_length'"),
        ("Mosaic\nmono", "row 2, column C 'Mosaic': a bag has no 'mosaic'; 'mono' was not used"),
        ("Goes in\nhodl", "row 2, column C 'Goes in': 'hodl' is not known here; did you mean 'hold'?"),
        ("Mass (kg),Weight (kg)\n4,4", "row 2, column D 'Weight (kg)': 'mass' is filled from column C already"),
        ("Notes\na\u200eb\x07", "row 2, column C 'Notes': the cell holds the invisible character U+0007; remove it"),
        (",\nx,y", "row 1, column C '': the column has no header; name it, or say in a mapping what it is"),
    ],
)
def test_what_cannot_be_used_is_told_with_row_column_and_nearest_known(
    text: str, why: str, guide: Path, tmp_path: Path
) -> None:
    header, _, rest = text.partition("\n")
    said = import_list(listed(tmp_path, f"Name,Kind,{header}\nA,bag,{rest}\n"), guide, dry_run=True)
    assert f"  {why}" in said


def test_many_problems_of_one_column_are_counted(guide: Path, tmp_path: Path) -> None:
    rows = "".join(f"P{n},bag,4\n" for n in range(30))
    said = import_list(listed(tmp_path, f"Name,Kind,Mass\n{rows}"), guide, dry_run=True)
    assert "  ... and 25 more in column C" in said


def test_three_hundred_rows_are_quick(guide: Path, tmp_path: Path) -> None:
    rows = "".join(f"Part {n},{'bag' if n % 2 else 'optic'},{n + 1}.5,{n % 4},note {n}\n" for n in range(300))
    path = listed(tmp_path, f"Name,Kind,Mass (g),Owned,Notes\n{rows}")
    begun = time.perf_counter()
    import_list(path, guide)
    import_list(path, guide)
    assert time.perf_counter() - begun < 20  # a generous bound; it takes well below two seconds
    assert len(read_catalogue(guide).parts) == 300 + len(PARTS)


def test_a_trial_shows_what_would_be_written_and_writes_nothing(guide: Path, tmp_path: Path) -> None:
    before = contents(guide)
    said = import_list(listed(tmp_path, LIST), guide, dry_run=True)
    assert "--- parts/our-list.yml\n" in said
    assert "+ - id: old-refractor\n" in said
    assert said.endswith("Nothing was written: this was a trial.\n")
    assert contents(guide) == before


def test_a_list_begins_a_guide(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "empty").mkdir()
    assert main(["import", str(listed(tmp_path, LIST)), "--into", str(tmp_path / "empty")]) == 0
    assert "Judge the guide with: rigleaf check" in capsys.readouterr().out
    assert main(["check", str(tmp_path / "empty")]) == 0


@pytest.mark.parametrize(
    ("header", "kind", "name", "unit"),
    [
        ("MASS (kg)", "bag", "mass", "kg"),
        ("Weight[lb]", "bag", "mass", "lb"),
        ("Focal length, mm", "optic", "focal_length", "mm"),
        ("focal_length", "optic", "focal_length", ""),
        ("Capacity (Ah)", "battery", "charge", "Ah"),
        ("Capacity (Wh)", "battery", "marked_energy", "Wh"),
        ("Capacity (kg)", "mount", "capacity", "kg"),
        ("Pixel size (µm)", "camera", "sensor.pixel", "µm"),
        ("sensor.pixel", "camera", "sensor.pixel", ""),
        ("S/N", "bag", "private.serial", ""),
        ("Length (mm)", "spacer", "optical_length", "mm"),
        ("Length (m)", "cable", "length", "m"),
        ("Size (mm)", "optic", "packed", "mm"),
        ("Power (W)", "camera", "power.working", "W"),
        ("Voltage (V)", "battery", "nominal_voltage", "V"),
        ("Voltage (V)", "camera", "power.voltage", "V"),
        ("Size", "filter", "mount_size", ""),
    ],
)
def test_headers_by_words_unit_and_kind(header: str, kind: str, name: str, unit: str) -> None:
    read = read_header(header)
    leaf = find_leaf(read, kind)
    assert leaf is not None
    assert (leaf.name, read.unit) == (name, unit)


def test_columns_are_called_as_spreadsheets_call_them(tmp_path: Path) -> None:
    assert [column_name(index) for index in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]
    sheet = read_sheet(listed(tmp_path, "a,b\n\n\nx,y\n"))
    assert [row.number for row in sheet.rows] == [4]


def test_the_mapping_in_the_handbook_works(guide: Path, tmp_path: Path, project: Path) -> None:
    text = (project / "docs" / "importing.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```yaml\n(.*?)```", text, re.DOTALL)
    path = listed(tmp_path, "Bezeichnung;Art;Gewicht;Ausgeliehen an\nRohr;Fernrohr;4,5;Jemand\nTuch;;0,1;\n")
    assert "Not used" not in import_list(path, guide, listed(tmp_path, example, "m.yml"))
    parts = read_catalogue(guide).parts
    assert (parts["rohr"].kind, parts["tuch"].kind) == ("optic", "sundry")
    assert b"Jemand" not in b"".join(contents(guide).values())
