"""Chapter: what the mount does to stars, whether it can be guided, and how long to expose."""

from rigleaf.chapters.guiding_and_exposure.study import study
from rigleaf.chapters.register import Chapter

CHAPTER = Chapter(
    id="guiding-and-exposure",
    title="Guiding and exposure",
    question="Does the mount hold the stars, is there a star to guide on, and how long must it expose?",
    study=study,
    template="guiding_and_exposure/chapter.html",
    on_card=("sub",),
    compared=(
        "sky-brightness",
        "sub-needed",
        "read-noise",
        "burnt-out",
        "frames",
        "night-data",
        "storage",
        "periodic-error",
        "longest-unguided",
        "guide-interval",
        "guide-scale",
        "guide-stars",
        "polar-tolerance",
    ),
)
