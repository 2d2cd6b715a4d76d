"""What is assumed where neither rig nor place nor guide says anything, each with its reason."""

from rigleaf.catalogue.models.guide import Guide
from rigleaf.quantities import Reading

ASSUMED: dict[str, tuple[Reading, str]] = {
    "seeing": (
        Reading(2.5, "small_angle", "assumed", text="2.5 arcsec"),
        "a middling night at a low site; common practice, no source",
    ),
    "target_altitude": (
        Reading(50.0, "angle", "assumed", text="50 deg"),
        "where targets usually stand while they are photographed; common practice, no source",
    ),
    "tracking_error": (
        Reading(1.0, "small_angle", "assumed", text="1.0 arcsec"),
        "an ordinary guided night with a light mount; common practice, no source",
    ),
    "wavelength": (
        Reading(550.0, "wavelength", "assumed", text="550 nm"),
        "the middle of the visible band",
    ),
    "lost_contrast": (
        Reading(0.10, "fraction", "assumed", text="10 %"),
        "a choice of this guide: a tenth of the contrast is seen by careful eyes only",
    ),
    "focus_steps": (
        Reading(5.0, "number", "assumed", text="5"),
        "fewer leave no room for backlash and for the noise of a focus curve; common practice, no source",
    ),
    "night_cooling": (
        Reading(8.0, "temperature_step", "assumed", text="8 K"),
        "a clear night inland; common practice, no source",
    ),
    "back_focus_tolerance": (
        Reading(1.0, "optical_length", "assumed", text="1 mm"),
        "what most correctors bear before stars in the corners grow long; common practice, no source",
    ),
    "corner_light": (
        Reading(0.90, "fraction", "assumed", text="90 %"),
        "a choice of this guide: flat fields mend a tenth without harm",
    ),
    "load_margin": (
        Reading(0.20, "fraction", "assumed", text="20 %"),
        "a choice of this guide",
    ),
}
"""Default of each choice and why; the keys are the fields of Choices."""


def choice(guide: Guide, name: str) -> Reading:
    """Return the guide's choice called ``name``, or what is assumed for want of one."""
    chosen: Reading | None = getattr(guide.choices, name)
    return chosen if chosen is not None else ASSUMED[name][0]
