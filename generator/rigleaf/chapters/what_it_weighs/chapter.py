"""Chapter: the mass of every part, on the mount, on the tripod and in all, and how well it is known."""

from rigleaf.chapters.register import Chapter
from rigleaf.chapters.what_it_weighs.study import study

CHAPTER = Chapter(
    id="what-it-weighs",
    title="What it weighs",
    question="How much is there to carry, where does it hang, and how much of that has been weighed?",
    study=study,
    template="what_it_weighs/chapter.html",
    on_card=("total",),
    compared=("on-mount", "on-tripod", "pieces", "weighed"),
)
