"""Templates: one environment with autoescape, compiled once, that formats and never computes."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from html import unescape
from itertools import islice
from typing import Any, Protocol

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined
from jinja2.runtime import Context
from markupsafe import Markup, escape

from rigleaf.catalogue.days import day_in_words
from rigleaf.catalogue.models.lending import Interval, Step
from rigleaf.chapters.figures import Figure
from rigleaf.chapters.formatting import Shown, as_written, show, show_box, unit_sign
from rigleaf.chapters.methods import methods
from rigleaf.quantities import Reading
from rigleaf.sentences import named, said
from rigleaf.site.typeset.addresses import (
    GLOSSARY_ADDRESS,
    RULES_ADDRESS,
    Addresses,
    desk_anchor,
    kind_address,
    method_address,
    part_address,
    rig_address,
)
from rigleaf.site.typeset.template_words import TemplateWords
from rigleaf.words import LANGUAGES, in_digits, language, tr

BASIS_WORDS: dict[str, str] = {
    "stated": "stated by the maker or the club, without a measurement",
    "measured": "measured by the club",
    "assumed": "assumed for want of better",
    "computed": "computed",
}

EVERY: dict[Step, tuple[str, str]] = {
    "day": ("every day", "every {n} days"),
    "week": ("every week", "every {n} weeks"),
    "month": ("every month", "every {n} months"),
    "year": ("every year", "every {n} years"),
}
"""How often something wants service, for one step and for several."""


_AT_ONCE = 4096


def environment() -> Environment:
    """Return the environment for page bodies and chapters, in the language that is spoken."""
    return _environment(language())


class _AtOnce(Context):
    """Calls what a template calls at once: none of our tools asks for the context, for which each would be searched."""

    def call(
        self,
        called: Callable[..., Any],
        /,
        *args: Any,
        _loop_vars: object = None,
        _block_vars: object = None,
        **rest: Any,
    ) -> Any:
        """Call a tool or macro; what Jinja would hand to one that asks for the context is left out."""
        return called(*args, **rest)


@lru_cache(maxsize=len(LANGUAGES))
def _environment(code: str) -> Environment:
    loader = ChoiceLoader([PackageLoader("rigleaf.site", "templates"), PackageLoader("rigleaf.chapters", ".")])
    env = Environment(
        loader=loader,
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        extensions=[] if code == LANGUAGES[0] else [TemplateWords],
    )
    env.context_class = _AtOnce
    env.globals["_"] = tr
    env.globals["words_of"] = words_of
    env.globals["interval"] = interval
    env.globals["named"] = named
    env.globals["language"] = code
    env.globals["english"] = english
    env.globals["document"] = document
    env.globals["foreign"] = Markup("") if code == LANGUAGES[0] else Markup(' lang="en"')
    env.filters["tr"] = tr
    env.filters["mathml"] = mathml
    env.filters["lean_mathml"] = lean_mathml
    env.filters["paragraphs"] = paragraphs
    env.filters["plate"] = plate_words
    env.filters["unit"] = unit_sign
    env.filters["day"] = day_in_words
    env.filters["kept_lines"] = kept_lines
    env.filters["sensible"] = lambda value: in_digits(f"{value:.4g}")
    env.globals["basis_words"] = BASIS_WORDS
    return env


@lru_cache(maxsize=512)
def mathml(formula: str, display: str = "block") -> Markup:
    """Return a LaTeX formula as MathML, which every reader shows without script."""
    from latex2mathml.converter import convert

    return Markup(convert(formula, display=display))  # noqa: S704 - formulas come from the package, not from a guide


@lru_cache(maxsize=512)
def lean_mathml(formula: str, display: str = "block") -> Markup:
    """Return a formula as MathML in few signs: the letters themselves, no namespace, and a lone letter as text."""
    lean = re.sub(r' xmlns="[^"]*"', "", mathml(formula, display)).replace(' display="inline"', "")
    lean = re.sub(r"<math><mrow><mi>([^<]+)</mi></mrow></math>", r"<i>\1</i>", lean)  # one letter is no formula
    lean = re.sub(r"<mrow>(<m[in]>[^<]+</m[in]>)</mrow>", r"\1", lean)
    # What would be markup stays as it is; every other sign is a letter in HTML.
    text = re.sub(r"&#x([0-9A-F]+);", lambda sign: _letter(int(sign[1], 16)) or sign[0], lean)
    # Of parentheses MathML Core knows by itself that they grow with what they hold, and which is which.
    text = re.sub(r'<mo stretchy="true" fence="true" form="(?:prefix|postfix)">([()])</mo>', r"<mo>\1</mo>", text)
    return Markup(re.sub(r"<mspace ([^>]*?) ?/>", r"<mspace \1></mspace>", text))  # noqa: S704 - from the package


def _letter(code: int) -> str:
    return "" if chr(code) in "<>&\"'" else chr(code)


def words_of(text: str) -> str:
    """Return the words of a table's cell: those that the language knows, a sentence as English, a name as it is."""
    return english(text) if text.endswith(".") and " " in text else named(text)


def interval(every: Interval) -> str:
    """Return how often something wants service, such as "every 6 months"."""
    one, many = EVERY[every.step]
    return tr(one) if every.number == 1 else tr(many, n=every.number)


def unsaid() -> Markup:
    """Return the word for a value that nobody has given."""
    return filled('<span class="rl-unsaid">{}</span>', tr("unsaid"))


def filled(markup: str, *values: str) -> Markup:
    """Return markup of our own with escaped texts in its places; ``Markup.format`` would take ten times as long."""
    return Markup(markup.format(*map(escape, values)))  # noqa: S704 - all that is put in is escaped


def english(text: str) -> str:
    """Return a sentence of a chapter or journey in the language spoken, or marked as English where it is not known."""
    return text if language() == LANGUAGES[0] else said(text) or _marked(text)


def _marked(text: str) -> Markup:
    return filled('<span lang="en">{}</span>', text)


_IN_PLATE = re.compile(r"<(?P<tag>text|tspan|title|desc)\b(?P<rest>[^>]*)>(?P<words>[^<]+)</")


def plate_words(svg: str) -> str:
    """Return a chapter's plate with its words in the language spoken; an unknown description stays English."""
    return svg if language() == LANGUAGES[0] else _IN_PLATE.sub(_plate_word, svg)


def _plate_word(found: re.Match[str]) -> str:
    tag, rest, text = found["tag"], found["rest"], unescape(found["words"])
    if tag == "desc":
        words = said(text)
        return f"<desc{rest}>{escape(words)}</" if words is not None else f'<desc lang="en"{rest}>{found["words"]}</'
    inside = text.strip()
    return f"<{tag}{rest}>{escape(text.replace(inside, named(inside)))}</" if inside else found[0]


def document(text: str) -> str:
    """Return where a rule stands: its title stays as it is, since when it holds is told in the language spoken."""
    title, since, day = text.partition("; in force since ")
    if language() == LANGUAGES[0] or not since:
        return text
    words = tr("in force since {day}", day=named(day))
    return filled('<span class="rl-document" lang="en">{}</span>; {}', title, words)


def paragraphs(text: str) -> Markup:
    """Return plain text as paragraphs; an empty line begins a new one."""
    blocks = [block.strip() for block in text.split("\n\n") if block.strip()]
    return Markup("").join(Markup("<p>{}</p>").format(block) for block in blocks)


def kept_lines(text: str) -> Markup:
    """Return plain text for ``pre`` in one line of source, as an empty line would end raw HTML in Markdown."""
    return Markup("&#10;").join(text.strip("\n").split("\n"))


@lru_cache(maxsize=256)
def _names(names: frozenset[str]) -> re.Pattern[str]:
    """Return a pattern that finds any of the names as whole words, the longest first."""
    longest_first = sorted(names, key=lambda name: (-len(name), name))
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest_first))})(?!\w)")


def _joined(pieces: Iterator[str]) -> Iterator[str]:
    """Yield pieces of a page joined, many at a time: a list of ten thousand rigs has millions of them."""
    while some := list(islice(pieces, _AT_ONCE)):
        yield "".join(some)


class TermLinker(Protocol):
    """Finds the terms of the trade in a page's sentences, each where the page uses it first."""

    def split(self, text: str) -> list[tuple[str, str]]:
        """Return the text in pieces, each with the anchor of the term that it is, or with none."""


@dataclass(frozen=True)
class Writer:
    """Renders templates for one page: knows where the page stands, which units come first and what parts are called."""

    address: str
    addresses: Addresses
    units: str = "metric"
    part_names: Mapping[str, str] = field(default_factory=dict)
    terms: TermLinker | None = None

    def render(self, template: str, **values: Any) -> str:
        """Render a template with links and figures as seen from this page."""
        pieces = environment().get_template(template).generate(**self._tools(), **values)
        return "".join(_joined(pieces))

    def _tools(self) -> dict[str, Callable[..., Any] | str]:
        return {
            "units": self.units,
            "link": self.link,
            "file": self.file,
            "desk_anchor": desk_anchor,
            "rig_link": lambda id_, anchor="": self.link(rig_address(id_), anchor),
            "part_link": lambda id_: self.link(part_address(id_)),
            "kind_link": lambda word: self.link(kind_address(word)),
            "method_link": self.method_link,
            "how": self.how,
            "rule_link": lambda id_: self.link(RULES_ADDRESS, id_),
            "quantity": self.quantity,
            "box": self.box,
            "figure": self.figure,
            "brief": self.brief,
            "linked": self.linked,
            "worded": self.worded,
            "told": self.told,
        }

    def link(self, address: str, anchor: str = "") -> str:
        """Return the link from this page to another."""
        return self.addresses.link(self.address, address, anchor)

    def file(self, path: str) -> str:
        """Return the link from this page to a file of the site."""
        return self.addresses.file(self.address, path)

    def method_link(self, method: str) -> str:
        """Return the link to the entry that explains a method."""
        return self.link(method_address(methods()[method].chapter), method)

    def how(self, method: str, label: str, words: str = "") -> Markup:
        """Return the link to a method, which a script answers on the page itself.

        Args:
            method: id of the method.
            label: the whole question, for those who only hear it.
            words: what stands on the page; "how" where nothing is given.
        """
        link = self.method_link(method)
        return filled('<a class="rl-how" href="{}" aria-label="{}">{}</a>', link, label, words or tr("how"))

    def quantity(self, value: float, dimension: str, uncertainty: float | None = None) -> Markup:
        """Return a value in both unit systems, the guide's own first."""
        return self._both(show(value, dimension, self.units), uncertainty, dimension)

    def written(self, reading: Reading, *, error: bool = True) -> Markup:
        """Return a stated or measured value as it was given, with the other unit system beside it."""
        return self._both(as_written(reading, self.units, error=error))

    def box(self, sides: tuple[float, float, float]) -> Markup:
        """Return outer dimensions, given in mm, in both unit systems."""
        return self._both(show_box(sides, self.units))

    def _both(self, shown: Shown, uncertainty: float | None = None, dimension: str = "") -> Markup:
        error = show(uncertainty, dimension, self.units) if uncertainty else Shown("")
        margin = filled(' <span class="rl-pm">± {}</span>', error.first) if error.first else Markup("")
        second = filled(' <span class="rl-q2">{}</span>', shown.second) if shown.second else Markup("")
        return filled('<span class="rl-q"><span class="rl-q1">{}</span>{}{}</span>', shown.first, margin, second)

    def linked(self, text: str, parts: tuple[str, ...]) -> Markup:
        """Return a sentence in which the first mention of each part's name leads to its page.

        Where one name holds another, the longer one is meant; of parts with one name, each has a mention of its own.
        """
        waiting: dict[str, list[str]] = {}
        for id_ in dict.fromkeys(parts):
            waiting.setdefault(self.part_names[id_], []).append(id_)
        pieces, done = [], 0
        for found in _names(frozenset(waiting)).finditer(text) if waiting else ():
            if ids := waiting[found.group()]:
                link = filled('<a href="{}">{}</a>', self.link(part_address(ids.pop(0))), found.group())
                pieces += [self.worded(text[done : found.start()]), link]
                done = found.end()
        return Markup("").join([*pieces, self.worded(text[done:])])

    def told(self, text: str, parts: tuple[str, ...] = ()) -> Markup:
        """Return a sentence of a chapter with its links in the language spoken, as english() does."""
        words = said(text)
        return self.linked(words, parts) if words is not None else _marked(self.linked(text, parts))

    def worded(self, text: str) -> Markup:
        """Return plain text in which the terms that the page has not used before lead to what they mean."""
        if self.terms is None:
            return escape(text)
        pieces = [
            filled('<a class="rl-term" href="{}">{}</a>', self.link(GLOSSARY_ADDRESS, anchor), words)
            if anchor
            else escape(words)
            for words, anchor in self.terms.split(text)
        ]
        return Markup("").join(pieces)

    def brief(self, figure: Figure) -> Markup:
        """Return a figure's value without its uncertainty, for cards and heads of pages."""
        return self.figure(replace(figure, uncertainty=None))

    def figure(self, figure: Figure) -> Markup:
        """Return a figure's value, or the word for a value that nobody has given."""
        if figure.value is None:
            return unsaid()
        if isinstance(figure.value, str):
            return escape(named(figure.value))
        return self.quantity(figure.value, figure.dimension, figure.uncertainty)
