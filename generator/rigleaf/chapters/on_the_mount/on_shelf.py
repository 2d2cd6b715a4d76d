"""What a remedy may name: parts that the club owns and lends."""

from collections.abc import Iterable, Iterator
from itertools import groupby

from rigleaf.catalogue.catalogue import Kind
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.image_train.joints import quoted


def on_shelf(assembly: Assembly, model: type[Kind]) -> Iterator[Kind]:
    """Yield the club's parts of a kind that a remedy may name: owned, and not of practice rigs alone."""
    found = assembly.catalogue
    for part in found.of_kind(model):
        if part.owned == 0:
            continue
        users = found.used_by.get(part.id, ())
        if users and all(found.rigs[user].for_training for user in users if user in found.rigs):
            continue
        yield part


def left_over(assembly: Assembly, part: Kind) -> int:
    """How many of a part the club has beside those that the rig carries already."""
    here = sum(item.count for item in assembly.items if item.part.id == part.id)
    return (1 if part.owned is None else part.owned) - here


def counted(names: Iterable[str]) -> str:
    """List names, equal ones that follow each other as so many times one."""
    runs = [(quoted(name), len(list(run))) for name, run in groupby(names)]
    *most, last = [name if many == 1 else f"{many} times {name}" for name, many in runs]
    return f"{', '.join(most)} and {last}" if most else last
