"""How long each step takes: what rig, part or guide states, or what is usual.

Every usual time is that of one person who has done it before, by daylight or red light, without gloves: common
practice, no source. Clubs time their own evenings and state them.
"""

from collections.abc import Iterable
from typing import NamedTuple

from rigleaf.catalogue.catalogue import Item
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.quantities import Basis

MINUTE = 60.0


class Lasting(NamedTuple):
    """A time in s, who says so, and the same in words."""

    seconds: float
    basis: Basis
    who: str


USUAL: dict[tuple[str, str], tuple[float, str]] = {
    ("unload", ""): (3, "lifting out, putting down and going back for more; the walk comes on top"),
    ("legs", ""): (4, "spreading, levelling by the bubble, treading the feet in"),
    ("legs", "lens"): (3, "a photo tripod needs no more than to stand firm"),
    ("head", ""): (3, "one bolt, and a look at north"),
    ("head", "worm"): (5, "a heavy head, two bolts and the latitude to set"),
    ("weights", ""): (3, "the bar, the weights, and last the safety screw at its end"),
    ("sun_filter", ""): (5, "held against a lamp and searched for holes, set on in the shade and taped"),
    ("tube", ""): (3, "into the saddle, the clamps, the safety screw"),
    ("tether", ""): (2, "a line from the tube to a railing"),
    ("tube", "lens"): (2, "lens and camera on the ball head or the plate"),
    ("train", ""): (5, "camera and pieces as one unit, and a look through for dust"),
    ("train", "lens"): (2, "the lens on the camera"),
    ("balance", ""): (3, "about both axes, with everything on it and the dew shield out"),
    ("cables", ""): (6, "each one tied where it cannot catch, with the mount turned once by hand"),
    ("cables", "powered"): (4, "each one tied where it cannot catch"),
    ("cable_check", ""): (2, "slowly from end to end about both axes"),
    ("cables", "lens"): (2, "a lead to the tracker and one to the release"),
    ("power", ""): (4, "battery, switches, and the computer until it sees everything"),
    ("power", "lens"): (2, "two switches"),
    ("polar_alignment", ""): (10, "two or three rounds by the camera or the pole sight"),
    ("polar_alignment", "lens"): (6, "by the pole sight"),
    ("polar_alignment", "day"): (6, "by compass, with the local declination, and by the latitude's scale"),
    ("star_alignment", ""): (5, "two bright stars, or the Moon and a planet"),
    ("collimation", ""): (10, "on a star out of focus, in the middle of the field"),
    ("focus", ""): (8, "by hand, with a mask or by the size of a star, and the lock"),
    ("focus", "motor"): (4, "one run of the motor through the focus"),
    ("guiding", ""): (5, "a star, and both axes tried in turn"),
    ("framing", ""): (6, "there, a frame, a correction, the angle of the camera, another frame"),
    ("framing", "lens"): (5, "by eye, and by a short frame at high gain"),
    ("framing", "bright"): (3, "it shows at once"),
    ("park", ""): (2, "mount to its rest, computer shut down, then the switch"),
    ("caps", ""): (2, "front cap first, while the tube still points down"),
    ("pack", ""): (4, "everything into its own bag, and a walk with the lamp over the ground"),
}  # fmt: skip
"""Usual minutes by step and sort of rig, and what they are for. The sort "" holds wherever no other is given."""


def pace(assembly: Assembly) -> float:
    """Return how many times as long the hands take as those of somebody who has done it before."""
    return assembly.choice("first_night").value if assembly.rig.experience == "first night" else 1.0


def usual(assembly: Assembly, step: str, sort: str = "") -> Lasting:
    """Return what a step usually takes with a sort of rig, at the pace of whom the rig is for."""
    minutes, _ = USUAL.get((step, sort), USUAL[step, ""])
    return _paced(assembly, Lasting(minutes * MINUTE, "assumed", "usual"))


def _paced(assembly: Assembly, practised: Lasting) -> Lasting:
    times = pace(assembly)
    if times == 1:
        return practised
    return Lasting(practised.seconds * times, practised.basis, f"{practised.who}, × {times:g}")


def reason(step: str, sort: str = "") -> str:
    """Return what those minutes are for."""
    return USUAL.get((step, sort), USUAL[step, ""])[1]


def lasting(assembly: Assembly, step: str, sort: str = "", items: Iterable[Item] = ()) -> Lasting:
    """Return how long a step takes: as the rig states, else its parts, else the guide, else what is usual.

    All of them are times of somebody who has done it before; for a first night they are multiplied.

    Args:
        assembly: the rig.
        step: name of a field of Steps, or of a step that only USUAL knows.
        sort: sort of rig in USUAL.
        items: the parts that are handled; what they state adds up, and those that state nothing count as within it.
    """
    own = getattr(assembly.rig.steps, step, None)
    if own is not None:
        return _paced(assembly, Lasting(own.value, own.basis, "as given for this rig"))
    stated = [item for item in items if item.part.setting_up is not None]
    if stated:
        total = sum(item.count * item.part.setting_up.value for item in stated if item.part.setting_up is not None)
        who = f"as given for {listed(item.part.name for item in stated)}"
        return _paced(assembly, Lasting(total, "stated", who))
    guides = getattr(assembly.catalogue.guide.steps, step, None)
    if guides is not None:
        return _paced(assembly, Lasting(guides.value, guides.basis, "as given by the guide"))
    return usual(assembly, step, sort)
