"""What each step is called and what is done in it, as a checklist says it in the dark."""

WORDS: dict[tuple[str, str], tuple[str, str]] = {
    ("unload", ""): ("Carry everything to the spot", "Heavy pieces first; the way clear, and lit where it is dark."),
    ("unload", "day"): ("Carry everything to the spot", "Heavy pieces first, and the way clear."),
    ("cool", ""): ("Let the optic take the air's temperature", "Out of its bag and uncovered, looking down."),
    ("cool", "day"): ("Let the optic take the air's temperature", "In the shade, with its cap on."),
    ("head", ""): ("Mount head", "Bolt it down before you let go, and turn its axis towards the pole."),
    ("head", "alt-azimuth"): ("Mount head", "Bolt it down before you let go."),
    ("head", "two"): (
        "Mount head",
        "Two people: one holds it until the other has bolted it down. Turn its axis towards the pole.",
    ),
    ("head", "alt-azimuth two"): ("Mount head", "Two people: one holds it until the other has bolted it down."),
    ("weights", ""): (
        "Counterweights, before the tube",
        "The bar, then the weights one by one and locked, then the safety screw in the end of the bar.",
    ),
    ("weights", "two"): (
        "Counterweights, before the tube",
        "The bar, then the weights, two people for each, and locked; then the safety screw in the end of the bar.",
    ),
    ("sun_filter", ""): (
        "Filter for the Sun, before anything else of the tube",
        "Look through it at a lamp for holes, set it on in the shade, tape it. Only then does the tube see the sky.",
    ),
    ("tube", ""): ("Tube into the saddle", "Clamps tight, safety screw of the plate in, then let go of it."),
    ("tube", "two"): (
        "Tube into the saddle",
        "Two people: one holds it until the other has the clamps tight and the safety screw of the plate in.",
    ),
    ("tether", ""): (
        "Tie the tube to something that holds",
        "A line from the tube itself to a railing or a hook, with slack for its turn: below a balcony walk people.",
    ),
    ("tube", "lens"): ("Camera onto the ball head", "Every lock hand-tight; pull at the lens to be sure."),
    ("train", ""): ("Camera and image train", "As one unit, in the order of the plate, and tight."),
    ("train", "lens"): ("Lens onto the camera", "Focus and stabiliser by hand; the release or the timer plugged in."),
    ("balance", ""): ("Balance", ""),
    ("cables", ""): ("Cables", "Tied where they cannot catch."),
    ("cables", "by hand"): (
        "Cables",
        "Tied where they cannot catch; a clutch loose and a hand on it, turn the mount through all it will do.",
    ),
    ("cables", "lens"): ("Leads", "With slack enough for the tracker to turn."),
    ("power", ""): ("Power and computer", "Everything seen, clock and place right."),
    ("power", "cooled"): ("Power and computer", "Everything seen, clock and place right, the sensor's cooling begun."),
    ("power", "lens"): ("Switch on", "Tracker to the right hemisphere and to stars, camera to raw files."),
    ("power", "day"): ("Power and computer", "Everything seen, clock and place right, tracking at the Sun's rate."),
    ("cable_check", ""): (
        "Look after the cables",
        "Slew slowly, under power, through all it will do, a hand on the switch. Never push it by hand.",
    ),
    ("cable_check", "day"): (
        "Look after the cables",
        "Cap on: slew slowly, under power, through all it will do, a hand on the switch. Never push it by hand.",
    ),
    ("polar_alignment", ""): ("Polar alignment", "As soon as stars are out. Touch no leg afterwards."),
    ("polar_alignment", "day"): (
        "Polar alignment by compass",
        "Latitude by its scale, north by the compass; better, align on the stars the evening before and mark the feet.",
    ),
    ("star_alignment", ""): ("Star alignment", "Show it two bright stars, far apart."),
    ("star_alignment", "bright"): ("Alignment", "On the Moon, a planet or a bright star."),
    ("star_alignment", "day"): ("Alignment on the Sun", "By the tube's shadow, never by eye along the tube."),
    ("collimation", ""): ("Collimation", "On a star in the middle of the field, once the optic has cooled."),
    ("focus", ""): ("Focus by hand", "On a bright star, by mask or by the smallest star; lock it and look again."),
    ("focus", "motor"): ("Focus by motor", "On a field of stars; again when the air has cooled by a few degrees."),
    ("focus", "bright"): ("Focus by hand", "On the edge of the disc; then lock it and look again."),
    ("focus", "bright motor"): ("Focus by motor", "On the edge of the disc, in small steps."),
    ("guiding", ""): ("Guide star and calibration", "Once, near the meridian and the equator; it lasts for the night."),
    ("guiding", "rotator"): (
        "Guide star and calibration",
        "Near the meridian and the equator, with the rotator where it will be; again whenever it has turned.",
    ),
    ("framing", ""): ("Find and frame the first target", "Angle of the camera first, then the place in the frame."),
    ("framing", "bright"): ("Find and frame", "One short exposure, and a look at the brightest part of it."),
    ("framing", "day"): ("Find the Sun", "By the tube's smallest shadow. One short exposure first."),
}  # fmt: skip
"""Name and doing of each step by its sort; the sort "" holds wherever no other is given. A sort that ends in "two" is
that of something too heavy for one person. What is done with legs and for balance depends on more than a sort: see
``standing`` and ``balancing``."""

DOWN: dict[tuple[str, str], tuple[str, str]] = {
    ("park", ""): ("Park and switch off", "Mount to its rest, files counted, computer shut down, then the switch."),
    ("park", "cooled"): (
        "Park and switch off",
        "Mount to its rest, the sensor warmed up slowly, files counted, computer shut down, then the switch.",
    ),
    ("park", "lens"): ("Switch off", "Look at the last frame first."),
    ("caps", ""): ("Caps on", "While the tube is still cold and on the mount: dew falls on glass that is carried in."),
    ("caps", "day"): (
        "Tube away from the Sun",
        "Into the shade, and capped. The filter stays in front until the tube can see no Sun.",
    ),
    ("cables", ""): ("Cables off", "At the plug, not by the lead; each rolled and tied."),
    ("train", ""): ("Camera off", "Open end down, caps on both sides at once."),
    ("tube", ""): ("Tube off", "One hand under it before the clamps are opened."),
    ("tube", "weights"): ("Tube off, before the weights", "One hand under it before the clamps are opened."),
    ("tube", "two"): ("Tube off", "Two people: one holds it before the other opens the clamps."),
    ("tube", "weights two"): (
        "Tube off, before the weights",
        "Two people: one holds it before the other opens the clamps.",
    ),
    ("tube", "lens"): ("Camera off", "Into the bag at once, before it mists over."),
    ("weights", ""): ("Weights off, after the tube", "Hold it, then take the safety screw out, then slide it off."),
    ("weights", "several"): (
        "Weights off, after the tube",
        "Hold the outermost, take the safety screw out, slide it off; a hand on each of the others in turn.",
    ),
    ("weights", "two"): (
        "Weights off, after the tube",
        "Two people: one holds the weight, the other takes the safety screw out; both slide it off.",
    ),
    ("head", ""): ("Mount head off", "Held before the bolt is out."),
    ("head", "two"): ("Mount head off", "Two people: one holds it before the other takes the bolt out."),
    ("pack", ""): ("Pack and look round", "Count the pieces, then search the ground with the white lamp."),
    ("pack", "day"): ("Pack and look round", "Count the pieces, then search the ground."),
    ("unload", ""): ("Carry everything back", "Heavy pieces first; the way clear, and lit where it is dark."),
    ("unload", "day"): ("Carry everything back", "Heavy pieces first, and the way clear."),
}  # fmt: skip
"""The same for taking it down."""


def words(step: str, sort: str = "", down: bool = False) -> tuple[str, str]:
    """Return what a step is called and what is done in it."""
    book = DOWN if down else WORDS
    return book.get((step, sort), book[step, ""])
