"""Chapter: whether the mount carries, turns and balances the load, and whether it sits on the tripod."""

from rigleaf.chapters.on_the_mount.study import study
from rigleaf.chapters.register import Chapter

CHAPTER = Chapter(
    id="on-the-mount",
    title="On the mount",
    question="Does the mount carry the load, does it balance, and does it all fit together?",
    study=study,
    template="on_the_mount/chapter.html",
    compared=("capacity", "used", "tripod-used"),
)
