"""Chapter: whether the loaded tripod stands all night, and in which wind it would tip."""

from rigleaf.chapters.footing.study import study
from rigleaf.chapters.register import Chapter

CHAPTER = Chapter(
    id="footing",
    title="Footing",
    question="Does the loaded tripod stand all night, and in which wind would it tip?",
    study=study,
    template="footing/chapter.html",
    compared=("stands", "gravity-height", "foot-most", "tipping-gust", "tipping-wind", "ballast"),
)
