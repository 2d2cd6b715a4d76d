"""How exactly must it be focused, is the motor fine enough, and how soon does a change of temperature undo it?"""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, isfinite

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.optics import Optic
from rigleaf.catalogue.models.train import FocuserMotor
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.scale_and_field import focus_physics, physics
from rigleaf.chapters.scale_and_field.inputs import Known, unsaid
from rigleaf.chapters.scale_and_field.purposes import short_exposures
from rigleaf.chapters.scale_and_field.sampling import Part
from rigleaf.chapters.shelf import Row, row_of

TWO_MIRRORS = ("ritchey-chretien", "cassegrain")
MOTOR, TEMPERATURE = "Focus motor", "Focus and temperature"
FEWEST_STEPS = 2.0
"""Steps of a motor inside the depth of focus without which it cannot find the focus at all."""

NBSP = "\u00a0"  # between a number and its unit

NIGHT_HOURS = 8.0
"""Hours over which the guide's cooling of a night is spread, to tell the change in one hour."""


def focus(assembly: Assembly, known: Known) -> Part:
    """Judge depth of focus against the motor's step and the tube's expansion."""
    wavelength = assembly.choice("wavelength").value
    wave = focus_physics.depth_quarter_wave(known.ratio, wavelength)
    blur = focus_physics.depth_geometric(known.ratio, known.pixel)
    depth = focus_physics.depth_of_focus(known.ratio, known.pixel, wavelength)
    peak = focus_physics.defocus_strehl(focus_physics.defocus_waves(depth, known.ratio, wavelength))
    binding = "the quarter wave" if wave <= blur else "a blur of one pixel"
    part = Part(
        [
            Figure("depth-wave", "Depth of focus, quarter wave, to either side", wave, "small_length",
                   "depth-of-focus"),
            Figure("depth-pixel", "Depth of focus, blur of one pixel, to either side", blur, "small_length",
                   "depth-of-focus"),
            Figure("depth", "Depth of focus, to either side", depth, "small_length", "depth-of-focus",
                   note=f"{binding} is the narrower limit"),
            Figure("peak-at-edge", "Peak of a star at the edge of that depth", peak, "fraction", "defocus-peak"),
        ]
    )  # fmt: skip
    _motor(assembly, known, depth, part)
    _expansion(assembly, known, depth, part)
    return part


def _motor(assembly: Assembly, known: Known, depth: float, part: Part) -> None:
    motor = assembly.focuser_motor
    if motor is None:
        return
    if motor.step is None:
        part.findings.append(
            unsaid("motor", MOTOR, "Whether the motor is fine enough", ("the motor's step",), "focus-steps")
        )
        return
    # Motor, corrector and camera move together: what the sensor sees of a step is scaled by the corrector.
    seen = focus_physics.defocus_at_sensor(motor.step.value, known.factor)
    steps = focus_physics.steps_in_depth(depth, seen)
    wanted = assembly.choice("focus_steps").value
    part.figures += [
        Figure("motor-step", "Motor, one step at the sensor", seen, "small_length", "focus-steps"),
        Figure("motor-steps", "Motor, steps inside the depth of focus", steps, "number", "focus-steps"),
    ]
    verdict: Verdict = "sound" if steps >= wanted else "tight" if steps >= FEWEST_STEPS else "fails"
    say = assembly.say
    sentence = (
        f"The depth of focus of ±{say(depth, 'small_length')} holds {say(steps, 'number')} steps of the motor; "
        f"{say(wanted, 'number')} are asked for."
    )
    remedy, parts = ("", ()) if verdict == "sound" else _finer_motor(assembly, known, depth, wanted)
    behind = ("depth", "motor-step", "motor-steps")
    part.findings.append(Finding("motor", verdict, MOTOR, sentence, behind, "focus-steps", remedy, parts))


def _finer_motor(assembly: Assembly, known: Known, depth: float, wanted: float) -> tuple[str, tuple[str, ...]]:
    """Return the shelf's coarsest motor that is fine enough, or the step to look for."""
    limit, motor = _fine_motor(assembly, known, depth, wanted)
    if motor is None or motor.step is None:
        step = assembly.say(limit, "small_length")
        return f"Gear it down to {step} a step or less; no motor on the shelf is that fine.", ()
    step = assembly.say(motor.step.value, "small_length")
    return f"Fit the club's {motor.name}, with a step of {step}.", (motor.id,)


def _fine_motor(assembly: Assembly, known: Known, depth: float, wanted: float) -> tuple[float, FocuserMotor | None]:
    """Return the widest step in um that is fine enough, and the shelf's coarsest motor that keeps to it."""
    limit = 2 * depth / wanted / focus_physics.defocus_at_sensor(1.0, known.factor)
    motors = assembly.catalogue.once(_coarsest_first)

    def fine(motor: FocuserMotor) -> bool:
        return motor.step is not None and motor.step.value <= limit

    return limit, motors.first(assembly, fine, motors.numbers["step"] <= limit)


def _coarsest_first(catalogue: Catalogue) -> Row[FocuserMotor]:
    def step(motor: FocuserMotor) -> float | None:
        return motor.step.value if motor.step is not None else None

    found = row_of(catalogue, FocuserMotor, lambda one: (step(one) or 0.0, one.id), {"step": step})
    return Row(found.model, found.parts[::-1], {"step": found.numbers["step"][::-1]})


def _expansion(assembly: Assembly, known: Known, depth: float, part: Part) -> None:
    """Judge how the tube's expansion moves the focus, over a night or over an hour."""
    optic = known.optic
    if optic.form == "lens":
        part.findings.append(_of_a_lens(short_exposures(assembly.rig)))
        return
    missing = _missing_for_expansion(optic)
    if missing:
        what = "How temperature moves the focus"
        part.findings.append(unsaid("temperature", TEMPERATURE, what, missing, "focus-shift"))
        return
    material = optic.tube_material or ""
    expansion = focus_physics.EXPANSION.get(material)
    length = optic.mirror_spacing if optic.form in TWO_MIRRORS else optic.tube_length
    if expansion is None or length is None:
        part.findings.append(_unknown_material(material))
        return
    lever = 1.0
    if optic.form in TWO_MIRRORS and optic.primary_focal_ratio is not None:
        native = physics.focal_ratio(known.native, known.aperture)
        lever = focus_physics.two_mirror_lever(native, optic.primary_focal_ratio.value)
    seen, seen_worst = (
        focus_physics.defocus_at_sensor(
            focus_physics.focus_shift_per_degree(coefficient, length.value, lever), known.factor
        )
        for coefficient in (expansion.typical, expansion.worst)
    )
    degrees = focus_physics.degrees_until_refocus(depth, seen)
    worst = assembly.say(seen_worst, "focus_shift")
    part.figures += [
        Figure("focus-shift", "Focus shift of the tube, at the sensor", seen, "focus_shift", "focus-shift",
               note=f"{material}; up to {worst} by other sources"),
        Figure("refocus-after", "Change of temperature that uses up the depth of focus",
               degrees if isfinite(degrees) else None, "temperature_step", "focus-shift"),
    ]  # fmt: skip
    degrees_worst = focus_physics.degrees_until_refocus(depth, seen_worst)
    changes = _Changes(degrees, degrees_worst, assembly.say)
    part.findings.append(_judge_expansion(assembly, known, depth, changes))


def _missing_for_expansion(optic: Optic) -> tuple[str, ...]:
    wanted: dict[str, object] = {
        "the tube's material": optic.tube_material,
        "the form of the optic": optic.form,
    }
    if optic.form in TWO_MIRRORS:
        wanted["the primary mirror's focal ratio"] = optic.primary_focal_ratio
        wanted["the spacing of the mirrors"] = optic.mirror_spacing
    elif optic.form is not None:
        wanted["the tube's length"] = optic.tube_length
    return tuple(name for name, value in wanted.items() if value is None)


def _of_a_lens(bright: bool) -> Finding:
    """Return the finding for a camera lens, whose groups of glasses move the focus by themselves."""
    sentence = "How temperature moves the focus cannot be told: a lens's focus does not follow its barrel."
    remedy = f"Focus {'' if bright else 'on a star '}again when the air has changed."
    return Finding("temperature", "unsaid", TEMPERATURE, sentence, (), "focus-shift", remedy)


def _unknown_material(material: str) -> Finding:
    """Return the finding for a material whose sorts expand too differently for a number, as plastics do."""
    sentence = (
        "How temperature moves the focus cannot be told: "
        f"one sort of {material} expands several times as much as another."
    )
    remedy = "Focus twice, some hours apart: the change of position over that of temperature is the shift."
    return Finding("temperature", "unsaid", TEMPERATURE, sentence, (), "focus-shift", remedy)


@dataclass(frozen=True)
class _Changes:
    """Changes of temperature, in K, that use up the depth of focus: by the typical and by the worst coefficient."""

    typical: float
    worst: float
    say: Callable[[float, str], str]

    def __str__(self) -> str:
        """Both in words, or one where they read the same."""
        worst, typical = (self.say(one, "temperature_step") for one in (self.worst, self.typical))
        return typical if worst == typical else f"{worst.partition(NBSP)[0]} to {typical}"


def _judge_expansion(assembly: Assembly, known: Known, depth: float, changes: _Changes) -> Finding:
    """Judge a night's (or an hour's) change by the typical coefficient, and allow for the spread of the sources."""
    change, span = _change(assembly)
    behind = ("depth", "focus-shift", "refocus-after")
    if changes.worst >= change:
        sentence = f"The tube keeps its focus within the depth of focus over {span}."
        return Finding("temperature", "sound", TEMPERATURE, sentence, behind, "focus-shift")
    times = ceil(change / changes.typical) - 1 if changes.typical < change else 0
    if times:
        often = {1: "once", 2: "twice"}.get(times, f"{times} times")
        sentence = (
            f"A change of {changes} uses up the depth of focus: over {span} "
            f"the tube alone asks for a new focus {often}."
        )
    else:
        sentence = (
            f"The tube should keep its focus over {span}, but sources for its material differ so much that "
            f"{assembly.say(changes.worst, 'temperature_step')} may already be too much."
        )
    if _motor_follows(assembly, known, depth):
        return Finding("temperature", "sound", TEMPERATURE, f"{sentence} The motor can do that.", behind, "focus-shift")
    limit, motor = _fine_motor(assembly, known, depth, assembly.choice("focus_steps").value)
    fit = f"the club's {motor.name}" if motor else f"a motor with {assembly.say(limit, 'small_length')} a step or less"
    remedy = f"Refocus by hand each time the air has changed by that much, or fit {fit}."
    parts = (motor.id,) if motor else ()
    return Finding("temperature", "tight", TEMPERATURE, sentence, behind, "focus-shift", remedy, parts)


def _change(assembly: Assembly) -> tuple[float, str]:
    """Return the change of temperature to be borne, in K, and over what: a night, or an hour for short exposures."""
    cooling = assembly.choice("night_cooling").value
    if short_exposures(assembly.rig):
        hourly = cooling / NIGHT_HOURS
        return hourly, f"an hour in which the air changes by {assembly.say(hourly, 'temperature_step')}"
    return cooling, f"a night that cools by {assembly.say(cooling, 'temperature_step')}"


def _motor_follows(assembly: Assembly, known: Known, depth: float) -> bool:
    """Whether a motor is there that can follow the focus; one of unknown step is judged as unsaid elsewhere."""
    motor = assembly.focuser_motor
    if motor is None or motor.step is None:
        return motor is not None
    seen = focus_physics.defocus_at_sensor(motor.step.value, known.factor)
    return focus_physics.steps_in_depth(depth, seen) >= FEWEST_STEPS
