"""Chapter: the image train. Do the parts mate, is focus reached, does anything cut the light?"""

from rigleaf.chapters.image_train.study import study
from rigleaf.chapters.register import Chapter

CHAPTER = Chapter(
    id="image-train",
    title="Image train",
    question="Do the parts go together, is focus reached, and does anything cut the light?",
    study=study,
    template="image_train/chapter.html",
    compared=("light-corner-stops", "image-circle", "circle-margin", "off-by", "tilt"),
)
