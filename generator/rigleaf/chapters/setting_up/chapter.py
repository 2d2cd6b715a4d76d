"""Chapter: in which order a rig is set up, how long that takes, and whether it may be left alone."""

from rigleaf.chapters.register import Chapter
from rigleaf.chapters.setting_up.study import ID, study

CHAPTER = Chapter(
    id=ID,
    title="Setting up",
    question="In which order is it set up, how long does that take, and may it be left alone?",
    study=study,
    template="setting_up/chapter.html",
    on_card=("setting-up",),
    compared=("taking-down", "cool-down", "arrive", "first", "last", "packed", "totality"),
)
