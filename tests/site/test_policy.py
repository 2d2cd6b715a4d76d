"""The headers that a site ships say one thing in all forms, and a real server sends what they say."""

import re
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from rigleaf.site.delivery.policy import HEADER_FILES, HEADERS, policy_of, source_of, write_headers
from tests.site.header_file import headers_for
from tests.site.servers import SERVERS, program, served

# From memory of Content Security Policy Level 3 (W3C): what loosens a policy.
LOOSE = (
    "unsafe-inline",
    "unsafe-eval",
    "unsafe-hashes",
    "wasm-unsafe-eval",
    "strict-dynamic",
    "*",
    "http:",
    "https:",
    "blob:",
)

ADDRESS = "https://club.example/guide/"
"""Where the guide stands for the world; the servers of these tests have it below the same path."""


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A site with a page, a calendar, a list and a copy to send."""
    site = tmp_path / "site"
    (site / "assets" / "copies").mkdir(parents=True)
    (site / "index.html").write_text("<p>The guide" + " and more" * 99, encoding="utf-8")
    (site / "club.ics").write_text("BEGIN:VCALENDAR", encoding="utf-8")
    (site / "field-copy.txt").write_text("1", encoding="utf-8")
    (site / "404.html").write_text("<p>Nothing of this guide stands there", encoding="utf-8")
    (site / "assets" / "copies" / "a.html").write_text('<style>p{}</style><style media="print">q{}</style>')
    write_headers(site, address=ADDRESS)
    return site


def directives(policy: str) -> dict[str, list[str]]:
    return {name: sources for name, *sources in (part.split() for part in policy.split("; "))}


def test_the_policy_is_strict() -> None:
    found = directives(policy_of())
    assert found["default-src"] == found["object-src"] == found["frame-ancestors"] == ["'none'"]
    assert found["base-uri"] == ["'self'"], "the page for lost addresses says where it stands"
    assert found["script-src"] == found["style-src"] == found["connect-src"] == found["worker-src"] == ["'self'"]
    assert not [source for sources in found.values() for source in sources if source.strip("'") in LOOSE]


def test_a_digest_is_that_of_the_standard() -> None:
    # From memory: the example of a digest in Content Security Policy Level 3 (W3C).
    assert source_of("alert('Hello, world.');") == "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"


def test_styles_of_copies_are_allowed_by_their_digests_and_scripts_never(site: Path) -> None:
    found = directives(headers_for(site, "/index.html")["Content-Security-Policy"])
    assert found["style-src"] == ["'self'", *sorted((source_of("p{}"), source_of("q{}")))]
    assert found["script-src"] == ["'self'"]
    assert found["font-src"] == ["'self'", "data:"]


def test_all_forms_say_the_same(site: Path) -> None:
    wanted = headers_for(site, "/index.html")
    assert set(wanted) == {"Content-Security-Policy", *HEADERS}
    apache, nginx = ((site / HEADER_FILES[form]).read_text("ascii") for form in ("apache", "nginx"))
    assert dict(re.findall(r'^  Header always set (\S+) "(.*)"$', apache, re.MULTILINE)) == wanted
    assert dict(re.findall(r'^add_header (\S+) "(.*)" always;$', nginx, re.MULTILINE)) == wanted


def asked_again(address: str) -> int:
    """Ask for a page packed, and once more as a browser that has it does; return the second answer's status."""
    headers = {"Accept-Encoding": "gzip"}
    with urllib.request.urlopen(urllib.request.Request(address, headers=headers)) as answer:  # noqa: S310
        assert answer.headers["Content-Encoding"] == "gzip"
        headers["If-None-Match"] = answer.headers["ETag"]
    with pytest.raises(urllib.error.HTTPError) as caught:
        urllib.request.urlopen(urllib.request.Request(address, headers=headers))  # noqa: S310 - this machine
    with caught.value as answer:
        return answer.code


@pytest.mark.parametrize("name", SERVERS)
def test_a_server_sends_what_its_header_file_says(name: str, site: Path) -> None:
    if program(name) is None:
        pytest.skip(f"{name} is not installed")
    with served(name, site, "guide") as home:
        for path in ("/index.html", "/club.ics", "/field-copy.txt", "/assets/copies/a.html"):
            with urllib.request.urlopen(home + path) as answer:  # noqa: S310 - this machine
                sent = answer.headers
            for header, value in headers_for(site, path).items():
                assert sent.get_all(header) == [value], (path, header)
        assert asked_again(home + "/index.html") == 304
        with pytest.raises(urllib.error.HTTPError) as gone:
            urllib.request.urlopen(home + "/deep/gone.html")  # noqa: S310 - this machine
        with gone.value as answer:
            assert answer.code == 404
            assert answer.headers.get_all("Content-Security-Policy") == [
                headers_for(site, "/")["Content-Security-Policy"]
            ]
            assert answer.read() == (site / "404.html").read_bytes()


def test_where_nobody_knows_where_the_guide_will_stand_no_page_for_lost_addresses_is_named(tmp_path: Path) -> None:
    write_headers(tmp_path)
    assert not [path for path in HEADER_FILES.values() if "404" in (tmp_path / path).read_text("ascii")]


@pytest.mark.parametrize("path", ["/a b/", '/a"b\n/', "/$uri/%{ENV:x}/", "/é/"])
def test_no_address_writes_more_into_a_header_file_than_a_path(path: str, tmp_path: Path) -> None:
    write_headers(tmp_path, address=f"https://club.example{path}")
    for form, words in (("apache", "ErrorDocument 404"), ("nginx", "error_page 404")):
        text = (tmp_path / HEADER_FILES[form]).read_text("ascii")
        assert len(re.findall(rf"^{words} /[\w/%.-]+/404\.html;?$", text, re.MULTILINE)) == text.count("404") / 2
