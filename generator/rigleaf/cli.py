"""The `rigleaf` command: check, figures, schema, export, customs, new. Thin: each command calls one function."""

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from io import TextIOWrapper
from pathlib import Path

import rigleaf
from rigleaf.catalogue.faults import CatalogueError

Command = Callable[[argparse.Namespace], int]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; return the exit code: 0 well, 1 faults in the guide, 2 wrong use."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without the sign for arcseconds gets the rest
    options = _parser().parse_args(arguments)
    command: Command = options.command
    try:
        code = command(options)
        sys.stdout.flush()  # here and not on the way out, so that a closed pipe is met inside this block
        return code
    except CatalogueError as error:
        return _report_faults(error, as_json=getattr(options, "json", False))
    except BrokenPipeError:  # somebody piped into `head`
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except (OSError, KeyError) as error:
        print(f"rigleaf: {_in_words(error)}", file=sys.stderr)
        return 2


def _in_words(error: Exception) -> str:
    """Return our own sentence, or the system's words with the file that they are about."""
    if isinstance(error, OSError) and error.strerror:
        return f"{error.strerror}: '{error.filename}'" if error.filename else error.strerror
    return str(error.args[0])


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="rigleaf", description="A field guide to portable astrophotography rigs, made from YAML."
    )
    parser.add_argument("--version", action="version", version=f"rigleaf {rigleaf.__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    check = commands.add_parser("check", help="read and judge a folder of YAML without building; exit 1 on faults")
    _folder(check)
    check.add_argument("--json", action="store_true", help="write faults and findings as JSON")
    check.add_argument("--all", action="store_true", help="list sound findings too")
    check.set_defaults(command=_check)

    figures = commands.add_parser("figures", help="print every figure and finding with stable ids and units")
    figures.add_argument("rig", nargs="?", help="id of one rig; all of them without it")
    figures.add_argument(
        "--dir", type=Path, default=Path(), metavar="DIR", help="folder of YAML (default: here, or ./rigs)"
    )
    figures.add_argument("--json", action="store_true", help="write JSON")
    figures.set_defaults(command=_figures)

    schema = commands.add_parser("schema", help="write the JSON Schemas by which editors complete and check the YAML")
    schema.add_argument(
        "directory",
        nargs="?",
        type=Path,
        metavar="DIR",
        help="folder to write to (default: 'schema' in the guide)",
    )
    schema.set_defaults(command=_schema)

    export = commands.add_parser("export", help="write the finished pages to a folder, for any other generator")
    export.add_argument("target", type=Path, metavar="DIR", help="folder to write to; must be empty or not exist")
    export.add_argument(
        "--dir", type=Path, default=Path(), metavar="GUIDE", help="folder of YAML (default: here, or ./rigs)"
    )
    export.add_argument(
        "--as", dest="form", choices=("html", "markdown"), default="html",
        help="html: pages that open in a browser as they are; markdown: finished articles with front matter",
    )  # fmt: skip
    export.set_defaults(command=_export)

    customs = commands.add_parser(
        "customs", help="write the private list of a journey for customs and insurance, to print; never onto the site"
    )
    customs.add_argument("trip", metavar="TRIP", help="id of the journey")
    customs.add_argument("-o", dest="target", type=Path, required=True, metavar="FILE", help="HTML file to write")
    customs.add_argument(
        "--dir", type=Path, default=Path(), metavar="DIR", help="folder of YAML (default: here, or ./rigs)"
    )
    customs.set_defaults(command=_customs)

    new = commands.add_parser("new", help="write a small guide to begin with")
    new.add_argument("target", type=Path, metavar="DIR", help="folder to make")
    new.set_defaults(command=_new)
    return parser


def _folder(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "directory",
        nargs="?",
        type=Path,
        default=Path(),
        metavar="DIR",
        help="folder of YAML (default: here, or ./rigs)",
    )


def _report_faults(error: CatalogueError, *, as_json: bool) -> int:
    from rigleaf.site.reports import faults

    if as_json:
        print(faults(error.faults), end="")
    else:
        print(error, file=sys.stderr)
        count = len(error.faults)
        print(f"{count} {'fault' if count == 1 else 'faults'}", file=sys.stderr)
    return 1


def _check(options: argparse.Namespace) -> int:
    from rigleaf.site.reports import check

    print(check(options.directory, everything=options.all, as_json=options.json), end="")
    return 0


def _figures(options: argparse.Namespace) -> int:
    from rigleaf.site.reports import figures

    print(figures(options.dir, options.rig, as_json=options.json), end="")
    return 0


def _schema(options: argparse.Namespace) -> int:
    from rigleaf.catalogue.files import SCHEMA, find_root
    from rigleaf.site.writing import write_schemas

    target = options.directory or find_root(Path()) / SCHEMA
    print(f"{write_schemas(target)} schemas written to {target}")
    return 0


def _export(options: argparse.Namespace) -> int:
    from rigleaf.catalogue.reading import read_catalogue
    from rigleaf.site.export import export

    count = export(read_catalogue(options.dir), options.target, options.form)
    print(f"{count} pages written to {options.target}")
    return 0


def _customs(options: argparse.Namespace) -> int:
    from rigleaf.site.customs import write_customs

    count = write_customs(options.dir, options.trip, options.target)
    print(f"{count} parts listed in {options.target}. It is private: print it, then delete it.")
    return 0


def _new(options: argparse.Namespace) -> int:
    from rigleaf.site.starter import write_starter

    write_starter(options.target)
    print(f"A small guide stands in {options.target}. Look at rigs/, then run: mkdocs serve")
    return 0


if __name__ == "__main__":
    sys.exit(main())
