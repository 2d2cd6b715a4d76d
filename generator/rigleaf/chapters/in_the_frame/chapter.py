"""Chapter: what of each target the frame holds, at which angle, in how many panels, and how fine it shows."""

from rigleaf.chapters.in_the_frame.study import study
from rigleaf.chapters.register import Chapter

CHAPTER = Chapter(
    id="in-the-frame",
    title="In the frame",
    question="What does it frame, how should the camera be turned, and is the target large enough to show its form?",
    study=study,
    template="in_the_frame/chapter.html",
    compared=("detail", "quick-detail"),
)
