"""Scripts and sheets are delivered without what only people need, and still say the same.

Held against a parser of JavaScript that shares nothing with the program (tree-sitter's grammar).
"""

from pathlib import Path

import pytest
import tree_sitter_javascript
from tree_sitter import Language, Node, Parser

from rigleaf.site.delivery.lean import lean, lean_script, lean_style
from rigleaf.site.delivery.static_files import JOINED, STATIC, static_content, static_files

PARSER = Parser(Language(tree_sitter_javascript.language()))

SCRIPTS = sorted(Path(STATIC).rglob("*.js")) + sorted(Path(STATIC).parent.joinpath("worker").glob("*.js"))


def meaning(script: str) -> list[str]:
    """What a script says: its tree and its words, without comments, spaces and needless semicolons."""
    root = PARSER.parse(script.encode()).root_node
    assert not root.has_error
    said: list[str] = []

    def walk(node: Node) -> None:
        if node.type == "comment":
            return
        said.append(node.type)
        if node.type in {"string", "regex"} or not node.children:
            said.append((node.text or b"").decode())
            return
        for child in node.children:
            if child.type != ";":
                walk(child)

    walk(root)
    return said


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_a_script_of_ours_says_the_same_when_it_is_lean(path: Path) -> None:
    text = path.read_text("utf-8")
    made = lean_script(text)
    assert meaning(made) == meaning(text)
    assert "/*" not in made
    assert lean_script(made) == made


@pytest.mark.parametrize(
    ("script", "made"),
    [
        ("const a = 'x  /* y */'; // z", "const a='x  /* y */';"),
        ('const f = a => /b  "c/.test(a)', 'const f=a=>/b  "c/.test(a)'),
        ("const f = (a) => (a) / 2 / b;", "const f=(a)=>(a)/2/b;"),
        ("const t = `one  ${ b + `two  ${ c }` }  // three`", "const t=`one  ${b+`two  ${c}`}  // three`"),
        ("let a = b\n\n/* c */\n(function () { return /[/*]/; })()", "let a=b\n(function(){return/[/*]/;})()"),
        ("a = b + +c - -d\n++e", "a=b+ +c- -d\n++e"),
        ("return_(typeof a, b in c, `d` in e)", "return_(typeof a,b in c,`d`in e)"),
        ("/*! licence */ a", "/*! licence */a"),
        ("if (a) {\n  b();\n} else {\n  c()\n}\nd()", "if(a){b();}else{c()}\nd()"),
        ("class A {\n  #b = 1;\n  get c() { return this.#b; }\n}", "class A{#b=1;get c(){return this.#b;}}"),
    ],
)
def test_what_looks_like_a_comment_or_a_space_and_is_none_stays(script: str, made: str) -> None:
    assert lean_script(script) == made + "\n"
    assert meaning(made) == meaning(script)


@pytest.mark.parametrize("script", ["const a = `b", "const a = `b ${c"])
def test_a_template_without_an_end_is_refused(script: str) -> None:
    with pytest.raises(ValueError, match="does not end"):
        lean_script(script)


def test_a_sheet_keeps_its_words_and_its_licence() -> None:
    sheet = '/* why */\n/*! licence */\na::after {\n  content: "/* b */  ;";\n  width: calc(1px + 2px);\n}\n'
    assert lean_style(sheet) == '/*! licence */ a::after{content: "/* b */  ;";width: calc(1px + 2px);}'


def test_only_scripts_and_sheets_are_changed() -> None:
    assert lean("leaf.svg", b"<svg>  </svg>") == b"<svg>  </svg>"
    changed = {
        Path(name).suffix for name in static_files() if static_content(name) != (Path(STATIC) / name).read_bytes()
    }
    assert changed == {".js", ".css"}


def test_scripts_that_are_delivered_as_one_are_all_there_and_nowhere_else() -> None:
    written = {path.relative_to(STATIC).as_posix() for path in Path(STATIC).rglob("*.js")}
    parts = [part for whole in JOINED.values() for part in whole]
    assert len(parts) == len(set(parts))
    assert set(parts) <= written
    assert {name for name in static_files() if name.endswith(".js")} == written - (set(parts) - set(JOINED))
    for whole, several in JOINED.items():
        alone = [lean(part, (Path(STATIC) / part).read_bytes()) for part in several]
        assert static_content(whole) == b"".join(alone)
        assert not PARSER.parse(static_content(whole)).root_node.has_error
