"""Chapter: what is lifted and carried on a night out, against the limits that are recommended for one person."""

from rigleaf.chapters.hands_and_back.study import study
from rigleaf.chapters.register import Chapter

CHAPTER = Chapter(
    id="hands-and-back",
    title="Hands and back",
    question="Can one person lift and carry this, how often must they walk, and what asks for two?",
    study=study,
    template="hands_and_back/chapter.html",
    compared=("heaviest-lift", "lift-limit", "lift-index", "on-foot", "walks", "way"),
)
