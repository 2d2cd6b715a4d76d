"""Judgement in still air: whether the centre of gravity stays over the feet, which way to put a leg, what feet bear."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.footing import ballast, physics
from rigleaf.chapters.footing.above import Above
from rigleaf.chapters.footing.stance import NEXT_TO_NOTHING, THIRDS, Stance
from rigleaf.chapters.footing.words import compass, points, short_points

PLACE, MARGIN, FEET, LEGS, SETTING_UP = (
    "footing-gravity", "footing-margin", "footing-feet", "footing-legs", "footing-setting-up",
)  # fmt: skip


def across(stands: Stance) -> list[float]:
    """Return where the least margin points, one leg put best: azimuths in deg across the edges where it is found."""
    legs = stands.weakest(stands.best_leg, stands.at(stands.best_leg), NEXT_TO_NOTHING)
    return sorted((leg + 180) % 360 for leg in legs)


def toward(stands: Stance) -> str:
    """Name where the least margin points, in words."""
    sides = across(stands)
    return "every side alike" if len(sides) == len(THIRDS) else points(sides)


def still_figures(load: Above, stands: Stance) -> list[Figure]:
    """Return centre of gravity, margins, the lean that it bears and the loads of the feet."""
    shares = stands.shares(stands.best_leg)
    offset = float((stands.east**2 + stands.north**2).max() ** 0.5)
    best, worst = stands.best_leg, stands.worst_leg
    leg = "any" if stands.indifferent else compass(best)
    note = f"assumed: {'; '.join(load.assumed)}" if load.assumed else ""
    sides = across(stands)
    towards = "every side" if len(sides) == len(THIRDS) else short_points(sides)
    return [
        Figure("stands", "Mass on the three feet", stands.mass, "mass", PLACE),
        Figure("off-centre", "Centre of gravity off the middle, at most", offset, "length", PLACE, note=note),
        Figure("gravity-height", "Height of the centre of gravity, at most", float(stands.up.max()), "length", PLACE),
        Figure("best-leg", "Best direction for one leg", leg, "text", LEGS),
        Figure("margin", "Least tipping margin, one leg put best", stands.least(best), "offset", MARGIN),
        Figure("margin-towards", "It points to", towards, "text", MARGIN),
        Figure("margin-worst", "Least tipping margin, legs put worst", stands.least(worst), "offset", MARGIN,
               note="" if stands.indifferent else f"with one leg to the {compass(worst)}"),
        Figure("lean", "Lean at which it tips, legs put worst", stands.leans(worst), "position_angle", MARGIN),
        Figure("foot-most", "Heaviest load on one foot", float(shares.max()), "mass", FEET),
        Figure("foot-least", "Lightest load on one foot", float(shares.min()), "mass", FEET,
               note="the foot would lift" if shares.min() < 0 else ""),
    ]  # fmt: skip


def judge_still(assembly: Assembly, load: Above, stands: Stance) -> Finding:
    """Judge the loaded tripod over the night in still air, with its legs put in the worst way."""
    say, asked = assembly.say, assembly.choice("lean").value
    best, worst = stands.best_leg, stands.worst_leg
    verdict = _verdict(stands.least(worst), stands.leans(worst), asked)
    height = say(float(stands.up.max()), "length")
    behind = ("margin", "margin-worst", "gravity-height", "lean", "best-leg")
    title = "In still air"
    legs = "whichever way the legs point" if stands.indifferent else "with the legs put worst"
    if verdict == "fails":
        sentence = (
            f"With the legs put worst the loaded tripod falls by itself: its centre of gravity, {height} above the "
            f"ground, goes {say(-stands.least(worst), 'offset')} beyond the line between two feet."
        )
    else:
        inside = f"at least {say(stands.least(worst), 'offset')} inside the feet {legs}"
        sentence = (
            f"Without wind the loaded tripod stands wherever the mount turns: its centre of gravity, {height} above "
            f"the ground, stays {inside}. It bears a lean of {say(stands.leans(worst), 'position_angle')}; this guide "
            f"asks for {say(asked, 'position_angle')}."
        )
    if not stands.indifferent:
        sentence += (
            f" One leg to the {compass(best)} is best: the margin is then {say(stands.least(best), 'offset')} or more, "
            f"least towards {toward(stands)}."
        )
    if verdict == "sound":
        return Finding("still-air", verdict, title, sentence, behind, MARGIN)
    remedy, named = _remedy(assembly, load, stands, asked)
    return Finding("still-air", verdict, title, sentence, behind, MARGIN, remedy, named)


def judge_setting_up(assembly: Assembly, load: Above, bare: Stance) -> tuple[list[Figure], list[Finding]]:
    """Judge the tripod with the weights on and the tube not yet, as it is while setting up and taking down."""
    if not load.weights:
        return [], []
    say, asked = assembly.say, assembly.choice("lean").value
    best, worst = bare.best_leg, bare.worst_leg
    verdict = _verdict(bare.least(worst), bare.leans(worst), asked)
    figures = [
        Figure("margin-weights", "Least margin with the weights on and the tube off, legs put worst",
               bare.least(worst), "offset", SETTING_UP),
    ]  # fmt: skip
    title = "Weights on, tube off"
    if verdict == "sound":
        inside = say(bare.least(worst), "offset")
        sentence = f"With its weights on and the tube off the tripod stands, {inside} inside its feet at the least."
        return figures, [Finding("weights-alone", verdict, title, sentence, ("margin-weights",), SETTING_UP)]
    lean = say(bare.leans(worst), "position_angle")
    how = "falls by itself" if verdict == "fails" else f"bears a lean of {lean} only"
    sentence = f"With its weights on and the tube off the tripod {how} with the legs put worst."
    remedy = "Set the weights at the inner end of their bar, hold the head until the tube is on, then slide them out."
    if bare.least(best) > bare.least(worst) + NEXT_TO_NOTHING:
        remedy = f"Put one leg to the {compass(best)}. {remedy}"
    return figures, [Finding("weights-alone", verdict, title, sentence, ("margin-weights",), SETTING_UP, remedy)]


def _verdict(margin: float, lean: float, asked: float) -> Verdict:
    if margin <= 0:
        return "fails"
    return "sound" if lean >= asked else "tight"


def _remedy(assembly: Assembly, load: Above, stands: Stance, asked: float) -> tuple[str, tuple[str, ...]]:
    """Say what makes it bear the lean asked for: a leg, else ballast, and a counterweight where the mount takes one."""
    best = stands.best_leg
    words = "" if stands.indifferent else f"Put one leg to the {compass(best)}. "
    if stands.leans(best) >= asked:
        return f"{words}It then bears a lean of {assembly.say(stands.leans(best), 'position_angle')}.", ()
    mass = 0 * stands.up + stands.mass
    exact = physics.ballast_for_lean(mass, stands.at(best), stands.up, stands.radius, asked)
    kg = ballast.rounded(float(exact.max()))
    named: tuple[str, ...] = ()
    if kg <= assembly.choice("most_ballast").value:
        more, named = ballast.proposal(assembly, stands, kg)
        words += more
    else:
        words += "Set the legs lower or wider, or take another tripod: ballast that people carry is too little."
    if not load.weights and load.mount.counterweight_bar is not None:
        words += " A counterweight brings the centre back over the middle."
    return words, named
