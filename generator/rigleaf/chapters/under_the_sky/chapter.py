"""Chapter: the nights at the rig's place, and when its targets can be photographed from there."""

from rigleaf.chapters.register import Chapter
from rigleaf.chapters.under_the_sky.study import study

CHAPTER = Chapter(
    id="under-the-sky",
    title="Under the sky",
    question="When is it dark at its place, and when do its targets stand high in that darkness?",
    study=study,
    template="under_the_sky/chapter.html",
    compared=("dark-hours-year", "moonless-hours-year", "nights-without-darkness"),
)
