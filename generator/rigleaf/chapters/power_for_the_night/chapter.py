"""Chapter: what the night draws, whether the battery lasts, and whether leads and outlets bear it."""

from rigleaf.chapters.power_for_the_night.study import study
from rigleaf.chapters.register import Chapter

CHAPTER = Chapter(
    id="power-for-the-night",
    title="Power for the night",
    question="What does the night draw, does the battery last until dawn, and do leads and outlets bear it?",
    study=study,
    template="power_for_the_night/chapter.html",
    on_card=("night-energy",),
    compared=(
        "night-drawn",
        "battery-mass",
        "battery-used",
        "mean-power",
        "peak-power",
        "lowest-voltage",
        "battery-temperature",
    ),
)
