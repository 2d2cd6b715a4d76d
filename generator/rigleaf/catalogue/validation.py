"""Plain data against a model: every error of pydantic becomes a fault with a place and a cure."""

from collections.abc import Iterator
from typing import Literal, TypeVar, get_args, get_origin

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from rigleaf.catalogue.document import MOST_FAULTS, Document, Path
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.wording import shown, with_article
from rigleaf.nearest import nearest
from rigleaf.quantities import short

Model = TypeVar("Model", bound=Entry)

# Code and sentence for each type of error of pydantic's own; the names in braces come from its context.
_SENTENCES: dict[str, tuple[str, str]] = {
    "string_type": ("text", "text is wanted here; put it in quotes"),
    "string_type_inside": ("text", "one text is wanted here, not several values"),
    "string_too_short": ("text", "the text is empty"),
    "string_too_long": ("text", "the text is longer than {max_length:,} characters"),
    "string_pattern_mismatch": ("text", "the text must be a single line"),
    "int_type": ("count", "a whole number is wanted here, like 2"),
    "greater_than_equal": ("count", "the number must be at least {ge}"),
    "less_than_equal": ("count", "the number must be at most {le:,}"),
    "bool_type": ("truth", "'true' or 'false' is wanted here"),
    "tuple_type": ("list", "a list is wanted here; begin each item with '- '"),
    "model_type": ("mapping", "a mapping is wanted here: one 'key: value' in each line"),
}


def validate(model: type[Model], data: object, document: Document, path: Path, what: str) -> Model | None:
    """Check ``data``, which stands at ``path`` of ``document``, against ``model``.

    Args:
        model: what the data may say.
        data: plain data; a key without a value counts as left out.
        document: where the data comes from; faults go there.
        path: where the data stands in the document.
        what: the name of the thing in sentences, such as "optic" or "rig".

    Returns:
        The model, or None when anything is wrong.
    """
    known: Model | None = document.models.get((path, model))
    if known is not None:
        return known
    try:
        found = document.models[path, model] = model.model_validate(_without_gaps(data))
    except ValidationError as error:
        details = error.errors(include_url=False)[: MOST_FAULTS + 1]
        meant = {_meant(model, detail) for detail in details if detail["type"] == "extra_forbidden"}
        for detail in details:
            if detail["type"] == "missing" and detail["loc"] in meant:
                continue  # the mistyped key is reported already
            _report(model, detail, document, path, what)
        return None
    return found


def _without_gaps(data: object) -> object:
    """Return the data without the keys that have no value."""
    if isinstance(data, dict):
        return {key: _without_gaps(value) for key, value in data.items() if value is not None}
    if isinstance(data, list):
        return [_without_gaps(value) for value in data]
    return data


def _meant(model: type[Entry], detail: ErrorDetails) -> Path:
    """Return the place that a mistyped key was probably meant to fill."""
    *owner_loc, key = detail["loc"]
    owner = model_at(model, tuple(owner_loc))
    near = nearest(str(key), known_keys(owner)) if owner else None
    return (*owner_loc, near or "")


def _report(model: type[Entry], detail: ErrorDetails, document: Document, path: Path, what: str) -> None:
    loc, kind, context = detail["loc"], detail["type"], detail.get("ctx", {})
    place = path + loc
    last = loc[-1]
    if kind == "extra_forbidden":
        message = unknown_key(str(last), what, model_at(model, loc[:-1]), loc[:-1])
        document.report(place, "unknown-key", message, key=True)
    elif kind == "missing":
        owner = _named(loc[:-1])
        where = f"'{owner}' of this {what}" if owner else f"this {what}"
        document.report(place[:-1], "missing", f"'{last}' is missing in {where}")
    elif kind == "literal_error":
        document.report(place, "choice", _wrong_word(detail["input"], choices_at(model, loc)))
    elif kind.startswith("rigleaf_"):
        code = kind.removeprefix("rigleaf_")
        if context["at"] is not None:
            place = (*place, context["at"])
        document.report(place, code, context["message"], key=code == "unknown-key")
    else:
        if kind == "string_type" and isinstance(detail["input"], (list, dict)):
            kind = "string_type_inside"
        code, sentence = _SENTENCES.get(kind, ("text", "what stands here is not what is wanted"))
        sentence = sentence.format_map(context)
        document.report(place, code, f"'{last}': {sentence}" if isinstance(last, str) else sentence)


def unknown_key(key: str, what: str, owner: type[Entry] | None, loc: Path = ()) -> str:
    """Say that ``key`` is unknown and what may have been meant."""
    wrong = f"unknown key '{short(key)}' in " + (f"'{_named(loc)}'" if _named(loc) else with_article(what))
    known = known_keys(owner) if owner else []
    inside = {inner_key: outer for outer, inner in _nested(owner) for inner_key in known_keys(inner)} if owner else {}
    if key in inside:
        return f"{wrong}; it belongs inside '{inside[key]}'"
    if near := nearest(key, known):
        return f"{wrong}; did you mean '{near}'?"
    if near := nearest(key, inside):
        return f"{wrong}; did you mean '{near}' inside '{inside[near]}'?"
    return f"{wrong}; known are {', '.join(known)}"


def _nested(owner: type[Entry]) -> Iterator[tuple[str, type[Entry]]]:
    """Yield the keys of a model that hold an entry of their own.

    They come last first, so that of two that know a key the first in the model counts.
    """
    for key, field in reversed(owner.model_fields.items()):
        if inner := entry_in(field.annotation):
            yield key, inner


def known_keys(model: type[Entry]) -> list[str]:
    """Return the keys that the YAML of ``model`` may have."""
    return [field.alias or name for name, field in model.model_fields.items()]


def _named(loc: Path) -> str:
    names = [part for part in loc if isinstance(part, str)]
    return names[-1] if names else ""


def model_at(model: type[Entry], loc: Path) -> type[Entry] | None:
    """Return the model that stands at ``loc`` inside ``model``, or None."""
    here: type[Entry] | None = model
    for step in loc:
        if isinstance(step, int):
            continue
        found = here.model_fields.get(step) if here else None
        here = entry_in(found.annotation) if found else None
    return here


def entry_in(annotation: object) -> type[Entry] | None:
    """Return the model inside an annotation such as ``tuple[PassBand, ...] | None``."""
    if isinstance(annotation, type) and issubclass(annotation, Entry):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        if found := entry_in(inner):
            return found
    return None


def choices_at(model: type[Entry], loc: Path) -> list[str]:
    """Return the words that may stand at ``loc`` inside ``model``."""
    keys = [index for index, step in enumerate(loc) if isinstance(step, str)]
    owner = model_at(model, loc[: keys[-1]])
    return _words_in(owner.model_fields[str(loc[keys[-1]])].annotation) if owner else []


def _words_in(annotation: object) -> list[str]:
    if get_origin(annotation) is Literal:
        return list(get_args(annotation))
    return [word for inner in get_args(annotation) for word in _words_in(inner)]


def _wrong_word(given: object, words: list[str]) -> str:
    near = nearest(given, words) if isinstance(given, str) else None
    return f"{shown(given)} is not one of {', '.join(words)}" + (f"; did you mean '{near}'?" if near else "")
