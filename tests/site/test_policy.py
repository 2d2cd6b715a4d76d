"""The headers that a site ships say one thing in all forms, and a real server sends what they say."""

import re
import shutil
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from socket import socket

import pytest

from rigleaf.site.delivery.policy import HEADER_FILES, HEADERS, policy_of, source_of, write_headers
from tests.site.header_file import headers_for

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

SERVER = shutil.which("nginx") or shutil.which("/usr/sbin/nginx")


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A site with a page, a calendar, a list and a copy to send."""
    site = tmp_path / "site"
    (site / "assets" / "copies").mkdir(parents=True)
    (site / "index.html").write_text("<p>The guide", encoding="utf-8")
    (site / "club.ics").write_text("BEGIN:VCALENDAR", encoding="utf-8")
    (site / "field-copy.txt").write_text("1", encoding="utf-8")
    (site / "assets" / "copies" / "a.html").write_text('<style>p{}</style><style media="print">q{}</style>')
    write_headers(site)
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


@contextmanager
def served(site: Path, folder: Path) -> Iterator[str]:
    """Serve a site by nginx, with the file that the site ships for it."""
    with socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    folder.mkdir()
    paths = "".join(
        f"{name}_temp_path {folder / name};\n" for name in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    kinds = "types { text/html html; text/plain txt; }\n"
    config = folder / "nginx.conf"
    config.write_text(
        f"daemon off;\nmaster_process off;\npid {folder / 'pid'};\nerror_log {folder / 'errors'};\nevents {{ }}\n"
        f"http {{\naccess_log off;\n{kinds}{paths}server {{\nlisten 127.0.0.1:{port};\nroot {site};\n"
        f"include {site / HEADER_FILES['nginx']};\n}}\n}}\n",
        encoding="utf-8",
    )
    command = [str(SERVER), "-c", str(config), "-e", str(folder / "errors")]
    tried = subprocess.run([*command, "-t"], capture_output=True, text=True, check=False)
    assert tried.returncode == 0, tried.stderr
    assert "warn" not in tried.stderr
    with subprocess.Popen(command) as server:
        try:
            for _ in range(100):
                with socket() as knock:
                    if knock.connect_ex(("127.0.0.1", port)) == 0:
                        break
                time.sleep(0.05)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()


@pytest.mark.skipif(SERVER is None, reason="nginx is not installed")
def test_nginx_sends_what_the_header_file_says(site: Path, tmp_path: Path) -> None:
    with served(site, tmp_path / "nginx") as home:
        for path in ("/index.html", "/club.ics", "/field-copy.txt", "/assets/copies/a.html"):
            with urllib.request.urlopen(home + path) as answer:  # noqa: S310 - this machine
                sent = answer.headers
            for name, value in headers_for(site, path).items():
                assert sent.get_all(name) == [value], (path, name)
        with pytest.raises(urllib.error.HTTPError) as gone:
            urllib.request.urlopen(home + "/gone.html")  # noqa: S310 - this machine
        with gone.value as answer:
            assert answer.headers["Content-Security-Policy"] == headers_for(site, "/")["Content-Security-Policy"]
