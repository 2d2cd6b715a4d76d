"""How each figure is found and what terms mean, in small files that a script loads when somebody asks."""

import json
from collections.abc import Iterator, Mapping

from markupsafe import Markup

from rigleaf.chapters.methods import methods
from rigleaf.chapters.register import chapters
from rigleaf.site.typeset.glossary import terms
from rigleaf.site.typeset.templating import environment
from rigleaf.words import tr

FOLDER = "assets/how"
TERMS = "terms"
"""Name of the file with the trade's terms."""


def answer_files() -> Iterator[tuple[str, bytes]]:
    """Yield path in the site and content of every chapter's answers, and of the trade's terms.

    Each is a script that calls one function, as pages opened from a folder may not fetch anything else.
    """
    template = environment().get_template("method_answer.html")
    for chapter in chapters():
        found = {
            entry.id: "".join(line.strip() for line in template.render(entry=entry).splitlines())
            for entry in methods().values()
            if entry.chapter == chapter.id
        }
        yield _file(chapter.id, found)
    yield _file(
        TERMS, {term.anchor: Markup("<p><b>{}</b>: {}</p>").format(tr(term.term), tr(term.means)) for term in terms()}
    )


def _file(name: str, answers: Mapping[str, str]) -> tuple[str, bytes]:
    """Return path and content; non-ASCII is escaped, so that no charset can spoil it."""
    text = f"rigleafHow({json.dumps(name)}, {json.dumps(answers)});\n"
    return f"{FOLDER}/{name}.js", text.encode("ascii")
