"""Relative links lead where a browser would take them, in both styles of address and below any path."""

from pathlib import Path
from urllib.parse import unquote, urljoin, urlsplit

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rigleaf.site.shelf.photos import photo_path
from rigleaf.site.typeset.addresses import Addresses, kind_address, method_address, part_address, rig_address

word = st.from_regex(r"[a-z0-9]+(-[a-z0-9]+)*", fullmatch=True).filter(lambda text: text != "index")
address = st.one_of(
    st.just("index"),
    st.lists(word, min_size=1, max_size=3).map("/".join),
    st.lists(word, min_size=1, max_size=2).map(lambda words: "/".join([*words, "index"])),
)
base = st.sampled_from(["https://club.example/", "https://club.example/some/where/", "file:///srv/somebody/site/"])
styles = st.booleans().map(Addresses)


@given(styles, address, address, base)
def test_a_link_leads_to_the_other_page(addresses: Addresses, here: str, there: str, site: str) -> None:
    page = site + addresses.path(here)
    assert urljoin(page, addresses.link(here, there)) == site + addresses.path(there)


@given(styles, address, address, word, base)
def test_a_link_to_an_anchor_leads_to_it(addresses: Addresses, here: str, there: str, anchor: str, site: str) -> None:
    page = site + addresses.path(here)
    link = addresses.link(here, there, anchor)
    assert urljoin(page, link) == f"{site}{addresses.path(there)}#{anchor}"
    assert (here == there) == link.startswith("#")


file_name = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Cn"], exclude_characters="/\\"), min_size=1
)


@given(styles, address, st.lists(file_name.filter(lambda text: text not in {".", ".."}), min_size=1, max_size=3), base)
def test_a_link_to_a_file_leads_to_it_whatever_its_name(
    addresses: Addresses, here: str, names: list[str], site: str
) -> None:
    path = "assets/" + "/".join(names)
    found = urlsplit(urljoin(site + addresses.path(here), addresses.file(here, path)))
    assert unquote(found.path) == urlsplit(site).path + path
    assert not found.query
    assert not found.fragment


@given(styles, address, address)
def test_pages_have_paths_of_their_own(addresses: Addresses, one: str, other: str) -> None:
    assume(one.removesuffix("/index") != other.removesuffix("/index") or one == other)  # no page is both
    assert (addresses.path(one) == addresses.path(other)) == (one == other)


@pytest.mark.parametrize(
    ("folders", "here", "there", "link"),
    [
        (False, "index", "rigs/index", "rigs/index.html"),
        (False, "rigs/heron", "index", "../index.html"),
        (False, "rigs/heron", "rigs/wagtail", "wagtail.html"),
        (True, "index", "index", "./"),
        (True, "index", "rigs/index", "rigs/"),
        (True, "rigs/heron", "index", "../../"),
        (True, "rigs/heron", "rigs/wagtail", "../wagtail/"),
        (True, "rigs/index", "rigs/heron", "heron/"),
    ],
)
def test_links_are_short(folders: bool, here: str, there: str, link: str) -> None:
    assert Addresses(folders).link(here, there) == link


def test_no_rig_part_or_kind_takes_the_address_of_a_section() -> None:
    sections = {"index", "rigs/index", "shelf/index", "method/index", "safety/index", "about/index", "reference/index"}
    for style in (Addresses(True), Addresses(False)):
        taken = {style.path(section) for section in sections}
        for made in (
            rig_address("index"),
            part_address("index"),
            kind_address("optic"),
            method_address("scale-and-field"),
        ):
            assert style.path(made) not in taken


@pytest.mark.parametrize(
    ("photo", "path"),
    [
        ("photos/tube.jpg", "assets/photos/photos/tube.jpg"),
        ("a/../tube.jpg", "assets/photos/tube.jpg"),
        ("../../../somewhere/tube.jpg", "assets/photos/somewhere/tube.jpg"),
        ("/tube.jpg", "assets/photos/tube.jpg"),
        ("//tube.jpg", "assets/photos/tube.jpg"),
    ],
)
def test_a_photo_stays_below_its_folder_of_the_site(photo: str, path: str, tmp_path: Path) -> None:
    assert photo_path(tmp_path / "guide", photo) == path
