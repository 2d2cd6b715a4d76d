"""How exactly must it be focused, is the motor fine enough, and how soon does the cold undo it?"""

from math import ceil, isfinite

from rigleaf.catalogue.models.train import FocuserMotor
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.scale_and_field import focus_physics, physics
from rigleaf.chapters.scale_and_field.inputs import Inputs, unsaid
from rigleaf.chapters.scale_and_field.sampling import Part


def focus(assembly: Assembly, inputs: Inputs, focal_length: float, ratio: float, scale: float) -> Part:
    """Judge depth of focus against the motor's step and the tube's expansion."""
    assert inputs.pixel is not None
    wavelength = assembly.choice("wavelength").value
    wave = focus_physics.depth_quarter_wave(ratio, wavelength)
    blur = focus_physics.depth_geometric(ratio, inputs.pixel)
    depth = focus_physics.depth_of_focus(ratio, inputs.pixel, wavelength)
    binding = "the quarter wave is the narrower limit" if wave <= blur else "a blur of one pixel is the narrower limit"
    part = Part(
        [
            Figure("depth-wave", "Depth of focus, quarter wave, to either side", wave, "small_length", "depth-of-focus"),
            Figure("depth-pixel", "Depth of focus, blur of one pixel, to either side", blur, "small_length", "depth-of-focus"),
            Figure("depth", "Depth of focus, to either side", depth, "small_length", "depth-of-focus", note=binding),
            Figure("peak-at-edge", "Peak of a star at the edge of that depth", focus_physics.defocus_strehl(
                focus_physics.defocus_waves(depth, ratio, wavelength)), "fraction", "defocus-peak"),
        ]
    )
    _motor(assembly, inputs, depth, part)
    _expansion(assembly, inputs, ratio, depth, part)
    return part


def _motor(assembly: Assembly, inputs: Inputs, depth: float, part: Part) -> None:
    motor = assembly.focuser_motor
    if motor is None:
        return
    if motor.step is None:
        part.findings.append(unsaid("motor", "Focus motor", "Whether the motor is fine enough", ("the motor's step",), "focus-steps"))
        return
    # Motor, corrector and camera move together: what the sensor sees of a step is scaled by the corrector.
    seen = focus_physics.defocus_at_sensor(motor.step.value, inputs.factor)
    steps = focus_physics.steps_in_depth(depth, seen)
    wanted = assembly.choice("focus_steps").value
    part.figures += [
        Figure("motor-step", "Motor, one step at the sensor", seen, "small_length", "focus-steps"),
        Figure("motor-steps", "Motor, steps inside the depth of focus", steps, "number", "focus-steps"),
    ]
    verdict: Verdict = "sound" if steps >= wanted else "tight" if steps >= 2 else "fails"
    sentence = (
        f"The depth of focus of ±{assembly.say(depth, 'small_length')} holds {assembly.say(steps, 'number')} steps of the motor; "
        f"{assembly.say(wanted, 'number')} are asked for."
    )
    remedy, parts = ("", ()) if verdict == "sound" else _finer_motor(assembly, inputs, depth, wanted)
    part.findings.append(
        Finding("motor", verdict, "Focus motor", sentence, ("depth", "motor-step", "motor-steps"), "focus-steps", remedy, parts)
    )


def _finer_motor(assembly: Assembly, inputs: Inputs, depth: float, wanted: float) -> tuple[str, tuple[str, ...]]:
    """Return the shelf's coarsest motor that is fine enough, or the step to look for."""
    step = 2 * depth / wanted / focus_physics.defocus_at_sensor(1.0, inputs.factor)
    fit = [
        motor for motor in assembly.catalogue.parts.values()
        if isinstance(motor, FocuserMotor) and motor.step is not None and motor.step.value <= step
    ]  # fmt: skip
    if not fit:
        return f"Gear it down to {assembly.say(step, 'small_length')} a step or less; no motor on the shelf is that fine.", ()
    best = max(fit, key=lambda motor: (motor.step.value if motor.step else 0.0, motor.id))
    assert best.step is not None
    return f"Fit the club's {best.name}, with a step of {assembly.say(best.step.value, 'small_length')}.", (best.id,)


def _expansion(assembly: Assembly, inputs: Inputs, ratio: float, depth: float, part: Part) -> None:
    """Judge how the tube's expansion moves the focus over a night."""
    optic = assembly.optic
    assert optic is not None
    missing: list[str] = []
    if optic.tube_material is None:
        missing.append("the tube's material")
    if optic.form is None:
        missing.append("the form of the optic")
    two_mirrors = optic.form in ("ritchey-chretien", "cassegrain")
    if two_mirrors:
        missing += ["the primary mirror's focal ratio"] if optic.primary_focal_ratio is None else []
        missing += ["the spacing of the mirrors"] if optic.mirror_spacing is None else []
    elif optic.form is not None and optic.tube_length is None:
        missing.append("the tube's length")
    if missing:
        part.findings.append(
            unsaid("temperature", "Focus and temperature", "How the cold moves the focus", tuple(missing), "focus-shift")
        )
        return
    expansion = focus_physics.EXPANSION.get(optic.tube_material or "")
    length = optic.mirror_spacing if two_mirrors else optic.tube_length
    if expansion is None or length is None:
        part.findings.append(_unknown_material(optic.tube_material or ""))
        return
    lever = 1.0
    if two_mirrors and optic.primary_focal_ratio and optic.focal_length and optic.aperture:
        native = physics.focal_ratio(optic.focal_length.value, optic.aperture.value)
        lever = focus_physics.two_mirror_lever(native, optic.primary_focal_ratio.value)
    shift = focus_physics.focus_shift_per_degree(expansion.typical, length.value, lever)
    worst = focus_physics.focus_shift_per_degree(expansion.worst, length.value, lever)
    seen, seen_worst = (focus_physics.defocus_at_sensor(one, inputs.factor) for one in (shift, worst))
    degrees = focus_physics.degrees_until_refocus(depth, seen)
    part.figures += [
        Figure("focus-shift", "Focus shift of the tube, at the sensor", seen, "focus_shift", "focus-shift",
               note=f"{optic.tube_material}; up to {assembly.say(seen_worst, 'focus_shift')} by other sources"),
        Figure("refocus-after", "Change of temperature that uses up the depth of focus", degrees if isfinite(degrees) else None,
               "temperature_step", "focus-shift"),
    ]  # fmt: skip
    part.findings.append(_judge_expansion(assembly, degrees, abs(depth / seen_worst) if seen_worst else float("inf")))


def _unknown_material(material: str) -> Finding:
    """Return the finding for a material whose sorts expand too differently for a number, as plastics do."""
    return Finding(
        "temperature", "unsaid", "Focus and temperature",
        f"How the cold moves the focus cannot be told: one sort of {material} expands several times as much as another.",
        (), "focus-shift", "Focus at dusk and again three hours later: the change of position over that of temperature is the shift.",
    )  # fmt: skip


def _judge_expansion(assembly: Assembly, degrees: float, degrees_worst: float) -> Finding:
    night = assembly.choice("night_cooling").value
    motor = assembly.focuser_motor is not None
    behind = ("depth", "focus-shift", "refocus-after")
    times = ceil(night / degrees) - 1 if degrees < night else 0
    if degrees_worst >= night:
        sentence = f"The tube keeps its focus within the depth of focus over a night that cools by {assembly.say(night, 'temperature_step')}."
        return Finding("temperature", "sound", "Focus and temperature", sentence, behind, "focus-shift")
    if not times:
        sentence = (
            f"The tube should keep its focus over a night that cools by {assembly.say(night, 'temperature_step')}, but sources for its "
            f"material differ so much that {assembly.say(degrees_worst, 'temperature_step')} may already be too much."
        )
    else:
        often = "once" if times == 1 else "twice" if times == 2 else f"{times} times"
        sentence = (
            f"A change of {assembly.say(degrees, 'temperature_step')} uses up the depth of focus: over a night that cools by "
            f"{assembly.say(night, 'temperature_step')} the tube alone asks for a new focus {often}."
        )
    if motor:
        return Finding("temperature", "sound", "Focus and temperature", sentence + " The motor can do that.", behind, "focus-shift")
    remedy = f"Refocus by hand each time the air has cooled by {assembly.say(min(degrees, degrees_worst), 'temperature_step')}"
    return Finding("temperature", "tight", "Focus and temperature", sentence, behind, "focus-shift", remedy + ", or fit a focus motor.")
