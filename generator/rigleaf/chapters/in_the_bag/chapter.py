"""Chapter: what goes into which bag, and how it is packed there."""

from rigleaf.chapters.in_the_bag.study import study
from rigleaf.chapters.register import Chapter

CHAPTER = Chapter(
    id="in-the-bag",
    title="In the bag",
    question="Does it all go in, what does each bag weigh, and how is it packed?",
    study=study,
    template="in_the_bag/chapter.html",
    compared=("to-pack", "packed-volume", "room", "heaviest", "left-over", "loose"),
)
