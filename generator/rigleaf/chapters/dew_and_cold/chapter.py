"""Chapter: when dew or frost comes to the glass, the heat that keeps it away, and what the cold does to parts."""

from rigleaf.chapters.dew_and_cold.study import study
from rigleaf.chapters.register import Chapter

CHAPTER = Chapter(
    id="dew-and-cold",
    title="Dew and cold",
    question="When does the glass mist over, what heat keeps it clear, and what does the cold do?",
    study=study,
    template="dew_and_cold/chapter.html",
    compared=("night", "coldest", "dew-point", "sensor-reach"),
)
