"""What a browser may do with the guide, as headers: the policy of contents and what goes with it, for several hosts.

The policy allows what stands in the site's own files and nothing else: no script or style inside a page, no eval, no
other host. The files that say so for a host are written into the finished site by `write_headers`.
"""

import base64
import hashlib
import re
from collections.abc import Iterable
from pathlib import Path
from urllib.parse import quote, urlsplit

from rigleaf.site.typeset.doors import COPIES

PAGE_POLICY: dict[str, str] = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    # Style sheets of the theme hold their small signs as addresses that are the picture itself.
    "img-src": "'self' data:",
    "font-src": "'self'",
    "media-src": "'self'",
    "connect-src": "'self'",  # the search index, answers in place, the list of the field copy
    "worker-src": "'self'",  # search, and the worker that keeps the field copy
    "object-src": "'none'",
    "base-uri": "'self'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
}
"""What each page may ask for and run, by directive."""

ASSEMBLY = "'wasm-unsafe-eval'"
"""Lets scripts of the site run WebAssembly, and no text as a script; only for guides that search an index in pieces."""

HEADERS: dict[str, str] = {
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Permissions-Policy": ", ".join(
        f"{feature}=()"
        for feature in (
            "accelerometer", "autoplay", "camera", "display-capture", "encrypted-media", "geolocation", "gyroscope",
            "hid", "idle-detection", "magnetometer", "microphone", "midi", "payment", "publickey-credentials-get",
            "screen-wake-lock", "serial", "usb", "xr-spatial-tracking",
        )
    ),
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}  # fmt: skip
"""The other headers. Letters are copied to the clipboard, so that one feature stays with the site."""

HEADER_FILES = {"plain": "_headers", "apache": ".htaccess", "nginx": "assets/hosting/nginx.conf"}
"""Where in the site the files stand that tell hosts of the headers, each in its form."""

UNSTORED = ("field-copy.js", "field-copy.txt")
"""Files that browsers ask for anew each time, or a reader would not learn of a new version."""

CALENDARS = "text/calendar"
"""What a file that ends in .ics is. Not every server knows, and no browser may guess."""

_STYLE = re.compile(rb"<style\b[^>]*>(.*?)</style>", re.DOTALL)


def source_of(text: str | bytes) -> str:
    """Return by which source a policy allows one inline style: its digest (Content Security Policy Level 3)."""
    data = text.encode("utf-8") if isinstance(text, str) else text
    return f"'sha256-{base64.b64encode(hashlib.sha256(data).digest()).decode('ascii')}'"


def policy_of(styles: Iterable[str] = (), *, assembly: bool = False) -> str:
    """Return the value of the header for a site whose copies to send hold these styles, given by their sources."""
    found = sorted(set(styles))
    directives = _directives(assembly=assembly)
    if found:
        directives["style-src"] = " ".join((directives["style-src"], *found))
        directives["font-src"] += " data:"
    return "; ".join(f"{name} {sources}" for name, sources in directives.items())


def page_policy(*, assembly: bool = False) -> str:
    """Return what a page may say of itself, for hosts that send no headers; who frames it, only a header can say."""
    directives = _directives(assembly=assembly)
    return "; ".join(f"{name} {sources}" for name, sources in directives.items() if name != "frame-ancestors")


def _directives(*, assembly: bool) -> dict[str, str]:
    more = {"script-src": f"{PAGE_POLICY['script-src']} {ASSEMBLY}"} if assembly else {}
    return {**PAGE_POLICY, **more}


def write_headers(site: Path, *, assembly: bool = False, address: str = "") -> None:
    """Write the files that tell hosts which headers to send with a finished site.

    Copies of pages to send are one file each and so must hold their styles. These are few and the same in all
    copies: the policy allows them by their digests, and with them typefaces inside a style sheet.

    Args:
        site: the folder of the site.
        assembly: whether pages run WebAssembly.
        address: at which the site will stand, where that is known. Hosts that must be told are then told which page
            to show for an address that leads nowhere.
    """
    copies = sorted((site / COPIES).glob("*.html")) if (site / COPIES).is_dir() else []
    sources = {source_of(style) for copy in copies for style in _STYLE.findall(copy.read_bytes())}
    headers = {"Content-Security-Policy": policy_of(sources, assembly=assembly), **HEADERS}
    missing = f"{quote(urlsplit(address).path.rstrip('/'), safe='/%')}/404.html" if address else ""
    for name, text in header_files(headers, missing).items():
        path = site / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="ascii", newline="\n")


def header_files(headers: dict[str, str], missing: str = "") -> dict[str, str]:
    """Return the text of each header file by its path in the site.

    ``missing`` is the path of the page for addresses that lead nowhere, where it is known.
    """
    plain = "/*\n" + "".join(f"  {name}: {value}\n" for name, value in headers.items())
    plain += "".join(f"/{name}\n  Cache-Control: no-cache\n" for name in UNSTORED)
    plain += f"/*.ics\n  Content-Type: {CALENDARS}; charset=utf-8\n"
    names = "|".join(map(re.escape, UNSTORED))
    apache = "# Headers of the guide; the server needs mod_headers and, for this folder, AllowOverride FileInfo.\n"
    apache += f"AddType {CALENDARS} .ics\nAddDefaultCharset utf-8\nAddCharset utf-8 .css .csv .ics .js .xml\n"
    apache += f"ErrorDocument 404 {missing}\n" if missing else ""
    apache += "<IfModule mod_headers.c>\n"
    apache += "  # The server adds this to the tag of a file that it sends packed, and would not know the tag again.\n"
    apache += '  RequestHeader edit* If-None-Match "-gzip\\"" "\\""\n'
    apache += "".join(f'  Header always set {name} "{value}"\n' for name, value in headers.items())
    apache += f'  <FilesMatch "^({names})$">\n    Header set Cache-Control "no-cache"\n  </FilesMatch>\n</IfModule>\n'
    nginx = "# Headers of the guide, for the server or location block that serves it. Copy this file to where only an\n"
    nginx += (
        "# administrator writes, and include it there. An add_header of your own in the same block goes along with\n"
    )
    nginx += "# these; one in a block below would take their place.\n"
    nginx += (
        f"charset utf-8;\ncharset_types text/plain text/css text/csv text/xml {CALENDARS} application/javascript;\n"
    )
    nginx += "".join(f'add_header {name} "{value}" always;\n' for name, value in headers.items())
    nginx += "add_header Cache-Control $rigleaf_cache always;\n"
    nginx += 'set $rigleaf_cache "";\n'
    nginx += f'if ($uri ~ "/({names})$") {{\n    set $rigleaf_cache "no-cache";\n}}\n'
    nginx += f"error_page 404 {missing};\n" if missing else ""
    nginx += f"location ~ \\.ics$ {{\n    types {{ }}\n    default_type {CALENDARS};\n}}\n"
    return {HEADER_FILES["plain"]: plain, HEADER_FILES["apache"]: apache, HEADER_FILES["nginx"]: nginx}
