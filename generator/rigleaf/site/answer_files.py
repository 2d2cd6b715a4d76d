"""How each figure is found, in small files that a script fetches when somebody asks: one for each chapter."""

import json
from collections.abc import Iterator

from rigleaf.chapters.methods import methods
from rigleaf.chapters.register import chapters
from rigleaf.site.templating import environment

FOLDER = "assets/how"


def answer_files() -> Iterator[tuple[str, bytes]]:
    """Yield path in the site and content of every chapter's answers.

    Each is a script that calls one function, as pages opened from a folder may not fetch anything else.
    """
    template = environment().get_template("method_answer.html")
    for chapter in chapters():
        found = {
            entry.id: "".join(line.strip() for line in template.render(entry=entry).splitlines())
            for entry in methods().values()
            if entry.chapter == chapter.id
        }
        # Non-ASCII is escaped, so that no charset can spoil it and no line separator ends the script.
        text = f"rigleafHow({json.dumps(chapter.id)}, {json.dumps(found)});\n"
        yield f"{FOLDER}/{chapter.id}.js", text.encode("ascii")
