"""Real servers on this machine, each with the header file that a site ships for it."""

import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from socket import socket

from rigleaf.site.delivery.policy import HEADER_FILES

_MODULES = ("/usr/lib/apache2/modules", "/usr/lib64/httpd/modules", "/usr/libexec/apache2", "/usr/lib/httpd/modules")


def _nginx(root: Path, site: Path, own: Path, port: int) -> str:
    names = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    paths = "".join(f"{name}_temp_path {own / name};\n" for name in names)
    return (
        f"daemon off;\nmaster_process off;\npid {own / 'pid'};\nerror_log {own / 'errors'};\nevents {{ }}\n"
        "http {\naccess_log off;\ngzip on;\ngzip_min_length 1;\ntypes { text/html html; text/plain txt; }\n"
        f"{paths}server {{\nlisten 127.0.0.1:{port};\nroot {root};\ninclude {site / HEADER_FILES['nginx']};\n}}\n}}\n"
    )


def _apache(root: Path, _site: Path, own: Path, port: int) -> str:
    folder = next(name for name in _MODULES if Path(name).is_dir())
    modules = ("mpm_event", "authz_core", "mime", "dir", "headers", "unixd", "filter", "deflate")
    there = [name for name in modules if Path(folder, f"mod_{name}.so").is_file()]  # the others are built in
    (own / "types").write_text("text/html html\ntext/plain txt\n", encoding="ascii")
    return (
        "".join(f"LoadModule {name}_module {folder}/mod_{name}.so\n" for name in there)
        + f"ServerRoot {own}\nServerName localhost\nPidFile {own / 'pid'}\nErrorLog {own / 'errors'}\n"
        f"Mutex file:{own} default\nListen 127.0.0.1:{port}\nTypesConfig {own / 'types'}\nUser #65534\nGroup #65534\n"
        f"DocumentRoot {root}\n<Directory {root}>\nAllowOverride FileInfo\nRequire all granted\n</Directory>\n"
        "AddOutputFilterByType DEFLATE text/html\n"
    )


_Settings = Callable[[Path, Path, Path, int], str]
SERVERS: dict[str, tuple[tuple[str, ...], tuple[str, ...], _Settings]] = {
    "nginx": (("nginx", "/usr/sbin/nginx"), ("-c", "{}"), _nginx),
    "apache": (("apache2", "httpd", "/usr/sbin/apache2", "/usr/sbin/httpd"), ("-DFOREGROUND", "-f", "{}"), _apache),
}
"""By the name of a server: what its program may be called, how it is told of its settings, and what these are."""


def program(name: str) -> str | None:
    """Return the program of a server, if it is installed."""
    return next(filter(None, map(shutil.which, SERVERS[name][0])), None)


@contextmanager
def served(name: str, site: Path, below: str) -> Iterator[str]:
    """Serve a copy of a site below a path, until the block ends; give its address without a slash at the end."""
    _, arguments, settings = SERVERS[name]
    with socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with tempfile.TemporaryDirectory(prefix="rigleaf-server-") as folder:
        own = Path(folder)
        own.chmod(0o755)  # a server that was started by the administrator reads as somebody else
        shutil.copytree(site, own / "root" / below)
        config = own / "server.conf"
        config.write_text(settings(own / "root", own / "root" / below, own, port), encoding="utf-8")
        command = [str(program(name)), *(one.format(config) for one in arguments)]
        tried = subprocess.run([*command, "-t"], capture_output=True, text=True, check=False)
        assert tried.returncode == 0, tried.stderr
        assert "warn" not in tried.stderr.casefold()
        with subprocess.Popen(command, stderr=subprocess.DEVNULL) as server:
            try:
                for _ in range(200):
                    with socket() as knock:
                        if knock.connect_ex(("127.0.0.1", port)) == 0:
                            break
                    time.sleep(0.05)
                yield f"http://127.0.0.1:{port}/{below}"
            finally:
                server.terminate()
