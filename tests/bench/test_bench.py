"""The benchmark works, and compares what it says it compares; how long anything takes is not tested."""

import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
from lxml import html
from markdown import markdown as to_html  # type: ignore[import-untyped]

from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.site.book import make_book
from rigleaf.site.record import PageRecord
from rigleaf.site.typeset.addresses import Addresses
from tests.bench import bench_build
from tests.bench.bare import markdown
from tests.bench.generate import write_guide
from tests.bench.together import taken_together

EXTENSIONS = ["toc", "tables", "fenced_code"]
"""Those that MkDocs uses unasked."""


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Sequence[PageRecord]:
    folder = tmp_path_factory.mktemp("made up") / "rigs"
    write_guide(folder, 12, seed=3)
    return make_book(read_catalogue(folder), Addresses()).pages


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.yml")}


def test_the_same_seed_gives_the_same_guide_and_another_seed_another(tmp_path: Path) -> None:
    for name, seed in (("one", 7), ("same", 7), ("other", 8)):
        write_guide(tmp_path / name, 4, seed)
    assert files(tmp_path / "one") == files(tmp_path / "same")
    assert files(tmp_path / "one").keys() == files(tmp_path / "other").keys()
    assert files(tmp_path / "one") != files(tmp_path / "other")


@pytest.mark.parametrize("rigs", [1, 30])
def test_a_made_up_guide_has_no_faults_and_parts_of_every_kind(rigs: int, tmp_path: Path) -> None:
    write_guide(tmp_path / "rigs", rigs, seed=rigs)
    catalogue = read_catalogue(tmp_path)
    assert len(catalogue.rigs) == rigs
    assert {part.kind for part in catalogue.parts.values()} == set(KINDS)
    assert all(rig.train and catalogue.items(rig) for rig in catalogue.rigs.values())


def letters(article: str) -> str:
    """Everything that an article says, in order, without the space between it, and without what is only drawn from."""
    root = html.fragment_fromstring(article, create_parent="div")
    for hidden in root.xpath("//svg[@aria-hidden='true']"):
        hidden.drop_tree()
    return "".join(root.text_content().split())


def drawings(article: str) -> Iterator[str]:
    for plate in html.fragment_fromstring(article, create_parent="div").iter("svg"):
        if not plate.get("aria-hidden"):  # a mark or a code, beside the words that say the same
            yield html.tostring(plate, encoding="unicode", with_tail=False)


def test_the_bare_pages_say_all_that_ours_say_and_show_the_same_drawings(
    pages: Sequence[PageRecord],
) -> None:
    for page in pages:
        bare = to_html(markdown(page.html), extensions=EXTENSIONS)
        assert letters(bare) == letters(page.html), page.address
        assert list(drawings(bare)) == list(drawings(page.html)), page.address


def test_the_bare_pages_have_our_tables_headings_and_links(pages: Sequence[PageRecord]) -> None:
    for page in pages:
        ours = html.fragment_fromstring(page.html, create_parent="div")
        text = to_html(markdown(page.html), extensions=EXTENSIONS)
        bare = html.fragment_fromstring(text, create_parent="div")
        for path in (
            "count(.//tr[normalize-space()])",  # a table without a body gets an empty row
            "count(.//table)",
            "count(.//h1 | .//h2 | .//h3)",
            "count(.//a)",
        ):
            assert bare.xpath(path) == ours.xpath(path), (page.address, path)


@pytest.mark.parametrize(
    ("article", "expected"),
    [
        ("<h2 id='a'>A <em>b</em></h2>\n<p>c</p>", "## A *b*\n\nc\n"),
        ("<p>a &amp; b_c_d *e* [f] &lt;g></p>", "a &amp; b\\_c\\_d \\*e\\* \\[f\\] &lt;g>\n"),
        ("<p><a href='../x.html#y'>z</a></p>", "[z](../x.md#y)\n"),
        ("<p><a href='https://example.org/y.html'>z</a></p>", "[z](https://example.org/y.html)\n"),
        ("<ul><li>a</li><li><b>b</b> c</li></ul>", "-   a\n-   **b** c\n"),
        ("<ol><li><p>a</p><p>b</p></li><li>c</li></ol>", "1.  a\n\n    b\n\n1.  c\n"),
        ("<dl><div><dt>a</dt><dd>b</dd></div></dl>", "-   **a** b\n"),
        (
            "<table><caption>t</caption><tr><th>a<th class='rl-num'>b</tr><tr><td>1|2</tr></table>",
            "t\n\n| a | b |\n| --- | --: |\n| 1\\|2 |  |\n",
        ),
        ("<aside><p>a</p><p>b</p></aside>", "> a\n> \n> b\n"),
        ("<p>- a</p><p>1. b</p><p># c</p><p>1.5 d</p>", "\\- a\n\n1\\. b\n\n\\# c\n\n1.5 d\n"),
        ("<p>a <svg class='rl-mark'><path/></svg>b</p>", "a b\n"),
        ("<figure><svg viewBox='0 0 1 1'><path/></svg><figcaption>a</figcaption></figure>",
         "<figure>\n<svg viewBox='0 0 1 1'><path/></svg>\n<figcaption>a</figcaption>\n</figure>\n"),
    ],
)  # fmt: skip
def test_an_article_as_markdown(article: str, expected: str) -> None:
    assert markdown(article) == expected


def test_a_benchmark_from_end_to_end(tmp_path: Path) -> None:
    found = bench_build.compare(tmp_path, rigs=3, seed=1, repeat=1)
    cold, bare = found.cold, found.bare
    assert cold.pages == bare.pages > 3
    assert cold.digest == found.warm.digest == found.leaves.digest != bare.digest
    assert cold.index < bare.index  # one curated record a page, against every word of it
    assert set(cold.build.steps) == set(bench_build.STEPS)
    assert all(seconds > 0 for seconds in cold.build.steps.values())
    assert cold.build.rest > 0
    assert min(cold.memory, bare.memory) > 10e6
    if sys.platform == "linux":
        assert min(cold.together, bare.together) > 10e6
    lines = bench_build.report(found).splitlines()
    assert lines[1].split() == ["pages", *[str(cold.pages)] * 4, *["1.00"] * 3]
    shown = [float(word) for word in lines[-2].split()[1:]]
    assert sum(shown) == pytest.approx(found.leaves.build.seconds, abs=0.05)
    assert bench_build.summary([found]).splitlines()[1].split()[0] == "3"


def test_a_build_that_fails_stops_the_benchmark_with_its_words(tmp_path: Path) -> None:
    (tmp_path / "mkdocs.yml").write_text("site_name: x\ndocs_dir: .\nplugins: [no-such-plugin]\n")
    with pytest.raises(RuntimeError, match="no-such-plugin"):
        bench_build._build(tmp_path)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux tells")
def test_memory_of_processes_is_told_together() -> None:
    """Beside what Linux tells of this process itself, on the same page of its own."""
    took = "import time; kept = b'x' * 100_000_000; print(flush=True); time.sleep(600)"
    before = taken_together(os.getpid())
    with subprocess.Popen([sys.executable, "-c", took], stdout=subprocess.PIPE) as child:
        assert child.stdout is not None
        child.stdout.readline()
        with_child, alone = taken_together(os.getpid()), taken_together(child.pid)
        child.kill()
    assert alone > 100e6
    assert with_child > before + 100e6
    assert taken_together(child.pid) == 0
