"""Judgement of mains supplies: what a night takes, and whether their cases may stand outside."""

from rigleaf.catalogue.models.power import MainsSupply
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit
from rigleaf.chapters.power_for_the_night.words import capital, dated, energy, some

METHOD, TITLE = "mains-supply", "Mains outdoors"
SPLASHED = 4
"""Second digit of an ingress protection from which on a case bears splashing water: IEC 60529."""


def judge(assembly: Assembly, budget: Budget) -> list[Finding]:
    """Judge the mains supplies of a rig; nothing where it has none."""
    circuits = [circuit for circuit in budget.circuits if circuit.endless]
    if not circuits:
        return []
    supplies = [part for circuit in circuits for part, _ in circuit.group.sources if isinstance(part, MainsSupply)]
    taken = energy(assembly, sum(_taken(assembly, circuit) for circuit in circuits))
    words = f"{capital(dated(assembly, budget))} the rig takes {taken} from mains"
    figures = ("night-energy",)
    bare = [part for part in supplies if (digit := water(part.outdoors)) is not None and digit < SPLASHED]
    unmarked = [part for part in supplies if water(part.outdoors) is None]
    if bare:
        names, ids = some(bare)
        marks = listed([f"{part.outdoors}" for part in bare])
        be = "is" if len(bare) == 1 else "are"
        sentence = f"{words}. {names} {be} marked {marks}, which bears no splashing water."
        cure = f"Keep {names} indoors or in a closed dry box, and run only the low voltage outside."
        return [Finding("mains", "tight", TITLE, sentence, figures, METHOD, cure, ids)]
    if unmarked:
        names, ids = some(unmarked)
        sentence = f"{words}. Nothing says whether {names} may stand outside."
        cure = f"Look for the letters IP on {names} and write them under 'outdoors'; until then keep it indoors."
        return [Finding("mains", "unsaid", TITLE, sentence, figures, METHOD, cure, ids)]
    names, ids = some(supplies)
    sentence = f"{words}. The case of {names} bears splashing water; its mains plug does not."
    return [Finding("mains", "sound", TITLE, sentence, figures, METHOD, "", ids)]


def _taken(assembly: Assembly, circuit: Circuit) -> float:
    """Energy in Wh that a circuit takes from the wall."""
    supply = next((part for part, _ in circuit.group.sources if isinstance(part, MainsSupply)), None)
    stated = supply.efficiency if supply is not None else None
    return circuit.drawn / (stated or assembly.choice("converter")).value


def water(mark: str | None) -> int | None:
    """Return the second digit of an ingress protection such as 'IP67'; None where there is none."""
    text = (mark or "").upper().replace(" ", "")
    digit = text[3:4] if text.startswith("IP") else ""
    return int(digit) if digit.isdecimal() else None
