"""Chapter: image scale, field of view, the star that results, sampling and focus."""

from rigleaf.chapters.register import Chapter
from rigleaf.chapters.scale_and_field.study import study

CHAPTER = Chapter(
    id="scale-and-field",
    title="Scale and field",
    question="How much sky falls on the sensor, how fine is the detail, and how exactly must it be focused?",
    study=study,
    template="scale_and_field/chapter.html",
    on_card=("focal-length", "focal-ratio", "image-scale", "field"),
    compared=(
        "aperture",
        "sensor-width",
        "sensor-height",
        "pixel",
        "rayleigh",
        "star",
        "scale-wanted",
        "depth",
        "refocus-after",
    ),
    told_of_all=("field-width", "field-height"),
)
