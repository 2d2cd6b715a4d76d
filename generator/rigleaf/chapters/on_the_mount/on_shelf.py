"""What a remedy may name: parts that the club owns and lends."""

from collections.abc import Iterable, Iterator
from itertools import groupby

from rigleaf.catalogue.catalogue import Catalogue, Kind
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.image_train.joints import quoted


def on_shelf(assembly: Assembly, model: type[Kind]) -> Iterator[Kind]:
    """Yield the club's parts of a kind that a remedy may name: owned, and not of practice rigs alone."""
    return (part for part in assembly.catalogue.of_kind(model) if lent(assembly.catalogue, part))


def lent(catalogue: Catalogue, part: Part) -> bool:
    """Say whether the club owns a part and lends it."""
    users = catalogue.used_by.get(part.id, ())
    kept = users and all(catalogue.rigs[user].for_training for user in users if user in catalogue.rigs)
    return part.owned != 0 and not kept


def left_over(assembly: Assembly, part: Kind) -> int:
    """How many of a part the club has beside those that the rig carries already."""
    here = sum(item.count for item in assembly.items if item.part.id == part.id)
    return (1 if part.owned is None else part.owned) - here


def counted(names: Iterable[str]) -> str:
    """List names, equal ones that follow each other as so many times one."""
    runs = [(quoted(name), len(list(run))) for name, run in groupby(names)]
    *most, last = [name if many == 1 else f"{many} times {name}" for name, many in runs]
    return f"{', '.join(most)} and {last}" if most else last
