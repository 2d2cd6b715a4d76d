"""The `rigleaf` command. Thin: each command calls one function."""

import argparse
import datetime as dt
import os
import sys
from collections.abc import Callable, Sequence
from io import TextIOWrapper
from pathlib import Path

import rigleaf
from rigleaf.catalogue.faults import CatalogueError
from rigleaf.desk.errors import DeskError

Command = Callable[[argparse.Namespace], int]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; return the exit code.

    0: done. 1: faults in what was read, each with its place. 2: wrong use, or something is left to decide; nothing
    was written then.
    """
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
    except (OSError, KeyError, DeskError) as error:
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
    export.add_argument(
        "--site", default="", metavar="URL", help="address at which the pages will stand, for codes on printed sheets"
    )
    export.set_defaults(command=_export)

    customs = commands.add_parser(
        "customs", help="write the private list of a journey for customs and insurance, to print; never onto the site"
    )
    customs.add_argument("trip", metavar="TRIP", help="id of the journey")
    customs.add_argument("-o", dest="target", type=Path, required=True, metavar="FILE", help="HTML file to write")
    _guide(customs, "--dir")
    customs.set_defaults(command=_customs)

    claimed = commands.add_parser(
        "claimed", help="list what rests on makers' words and defaults, and what to measure next"
    )
    claimed.add_argument("rig", nargs="?", help="id of one rig; all of them without it")
    _guide(claimed, "--dir")
    claimed.add_argument("--seconds", type=float, default=8.0, metavar="S", help="time for judging again (default: 8)")
    claimed.add_argument("--json", action="store_true", help="write JSON")
    claimed.set_defaults(command=_claimed)

    _desk_commands(commands)
    _sharing(commands)

    new = commands.add_parser(
        "new", help="begin a guide, a rig or a part, with every field explained",
        usage="rigleaf new [guide] DIR | rig ID [--dir GUIDE] | part KIND ID [--dir GUIDE]",
        description="'new guide our-club' writes a small guide into a new folder; 'new rig garden' and 'new part optic "
        "little-refractor' write a file into a guide, with every field explained and an example of each.",
    )  # fmt: skip
    new.add_argument("what", nargs="+", metavar="WHAT", help="guide DIR, rig ID, or part KIND ID")
    _guide(new, "--dir")
    new.set_defaults(command=_new)
    return parser


def _desk_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    desk = commands.add_parser(
        "desk", help="print what is out, due, overdue and coming, with borrowers: for the equipment officer alone",
        description="Prints what the book of loans says on a day: what is overdue, out and coming, and what wants "
        "service. Borrowers and contacts stand in it: the terminal is not the site, so do not paste it there.",
    )  # fmt: skip
    desk.add_argument("--on", type=_date, metavar="DATE", help="day as of which the book is read (default: today)")
    desk.add_argument("--rig", metavar="ID", help="one rig alone")
    _guide(desk, "--dir")
    desk.add_argument("--json", action="store_true", help="write JSON")
    desk.set_defaults(command=_desk)


def _date(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is not a date; write it like 2026-11-26") from None


def _sharing(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    bundle = commands.add_parser("bundle", help="write one rig with all that it names as one file, to hand on")
    bundle.add_argument("rig", help="id of the rig")
    bundle.add_argument(
        "-o", "--output", type=Path, metavar="FILE", help="file to write (default: the bundle is printed)"
    )
    bundle.add_argument("--without-place", action="store_true", help="leave its place out")
    _guide(bundle, "--dir")
    bundle.set_defaults(command=_bundle)

    share = commands.add_parser(
        "share", help="write one rig's page as one file that opens from a mail without a network"
    )
    share.add_argument("rig", help="id of the rig")
    share.add_argument("--text", action="store_true", help="a few lines for a chat instead, printed unless -o is given")
    share.add_argument("-o", "--output", type=Path, metavar="FILE", help="file to write (default: RIG.html here)")
    _guide(share, "--dir")
    share.add_argument("--site", default="", metavar="URL", help="address at which the guide stands for all to read")
    share.add_argument(
        "--folders",
        action="store_true",
        help="its pages stand in folders there: 'rigs/garden/', not 'rigs/garden.html'",
    )
    share.set_defaults(command=_share)

    add = commands.add_parser("add", help="take a friend's rig, as 'bundle' wrote it, into a guide of your own")
    add.add_argument("bundle", type=Path, metavar="BUNDLE", help="file that 'rigleaf bundle' wrote")
    _guide(add, "--guide")
    add.add_argument("--match", action="store_true", help="where ids clash, your own part, place or target serves")
    add.add_argument("--rename", action="store_true", help="where ids clash, theirs get another id")
    add.add_argument("--owned", action="store_true", help="the parts are yours: do not write 'owned: 0' to them")
    add.add_argument("--yes", action="store_true", help="write without asking first")
    add.add_argument("--dry-run", action="store_true", help="only say what would be written")
    add.set_defaults(command=_add)

    listed = commands.add_parser("import", help="take the parts of a spreadsheet's list (CSV) into a guide")
    listed.add_argument("list", type=Path, metavar="FILE.csv", help="the list; its first row names the columns")
    listed.add_argument(
        "--mapping", type=Path, metavar="FILE.yml", help="what its columns mean, where headers do not say"
    )
    _guide(listed, "--into")
    listed.add_argument("--dry-run", action="store_true", help="only show what would be written")
    listed.set_defaults(command=_import)


def _guide(parser: argparse.ArgumentParser, flag: str) -> None:
    parser.add_argument(
        flag, dest="dir", type=Path, default=Path(), metavar="GUIDE", help="folder of YAML (default: here, or ./rigs)"
    )


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
    from rigleaf.site.commands.reports import faults

    if as_json:
        print(faults(error.faults), end="")
    else:
        print(error, file=sys.stderr)
        count = len(error.faults)
        print(f"{count} {'fault' if count == 1 else 'faults'}", file=sys.stderr)
    return 1


def _check(options: argparse.Namespace) -> int:
    from rigleaf.site.commands.reports import check

    print(check(options.directory, everything=options.all, as_json=options.json), end="")
    return 0


def _figures(options: argparse.Namespace) -> int:
    from rigleaf.site.commands.reports import figures

    print(figures(options.dir, options.rig, as_json=options.json), end="")
    return 0


def _schema(options: argparse.Namespace) -> int:
    from rigleaf.catalogue.files import SCHEMA, find_root
    from rigleaf.site.commands.writing import write_schemas

    target = options.directory or find_root(Path()) / SCHEMA
    print(f"{write_schemas(target)} schemas written to {target}")
    return 0


def _export(options: argparse.Namespace) -> int:
    from rigleaf.catalogue.reading import read_catalogue
    from rigleaf.site.export import export

    count = export(read_catalogue(options.dir), options.target, options.form, options.site)
    print(f"{count} pages written to {options.target}")
    return 0


def _customs(options: argparse.Namespace) -> int:
    from rigleaf.site.trips.customs import write_customs

    count = write_customs(options.dir, options.trip, options.target)
    print(f"{count} parts listed in {options.target}. It is private: print it, then delete it.")
    return 0


def _desk(options: argparse.Namespace) -> int:
    from rigleaf.site.lent.desk_report import desk

    print(desk(options.dir, options.on, options.rig, as_json=options.json), end="")
    return 0


def _bundle(options: argparse.Namespace) -> int:
    from rigleaf.desk.handing import hand_on

    print(hand_on(options.dir, options.rig, options.output, with_place=not options.without_place), end="")
    return 0


def _share(options: argparse.Namespace) -> int:
    from rigleaf.site.commands.share import share
    from rigleaf.site.typeset.addresses import Addresses

    addresses = Addresses(options.folders, options.site)
    print(share(options.dir, options.rig, options.output, addresses=addresses, as_text=options.text), end="")
    return 0


def _add(options: argparse.Namespace) -> int:
    from rigleaf.desk.handing import at_a_terminal, take_in

    said = take_in(
        options.dir, options.bundle, match=options.match, rename=options.rename, owned=options.owned,
        yes=options.yes, dry_run=options.dry_run, answer=at_a_terminal(),
    )  # fmt: skip
    print(said, end="")
    return 0


def _claimed(options: argparse.Namespace) -> int:
    from rigleaf.site.shelf.claimed_report import claimed

    print(claimed(options.dir, options.rig, seconds=options.seconds, as_json=options.json), end="")
    return 0


def _import(options: argparse.Namespace) -> int:
    from rigleaf.desk.importing import import_list

    print(import_list(options.list, options.dir, options.mapping, dry_run=options.dry_run), end="")
    return 0


def _new(options: argparse.Namespace) -> int:
    from rigleaf.desk.blank import begin_part, begin_rig
    from rigleaf.site.commands.starter import begin_guide

    match options.what:
        case ["rig", id_]:
            said = begin_rig(options.dir, id_)
        case ["part", kind, id_]:
            said = begin_part(options.dir, kind, id_)
        case ["guide", target]:
            said = begin_guide(Path(target))
        case [target] if target not in ("guide", "rig", "part"):
            said = begin_guide(Path(target))
        case _:
            raise DeskError(
                "say 'new guide DIR', 'new rig ID' or 'new part KIND ID', such as 'new part optic blue-tube'"
            )
    print(said, end="")
    return 0


if __name__ == "__main__":
    sys.exit(main())
