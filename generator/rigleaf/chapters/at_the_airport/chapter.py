"""Chapter: what of the rig may fly, in which bag, and what must be asked, left at home or looked up first."""

from rigleaf.chapters.at_the_airport.study import study
from rigleaf.chapters.register import Chapter

CHAPTER = Chapter(
    id="at-the-airport",
    title="At the airport",
    question="What of it may fly, in which bag, and what must be asked or left at home?",
    study=study,
    template="at_the_airport/chapter.html",
    compared=("largest-loose",),
    told_of_all=("answer",),
)
