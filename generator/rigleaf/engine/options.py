"""The options that mkdocs.yml may set of the plugin, and their kinds: each wrong value is told in one sentence."""

from pathlib import Path

from mkdocs.config import config_options
from mkdocs.config.base import Config, ValidationError


class Word(config_options.Choice[str]):
    """One word of a few. YAML reads `off` as a truth value; it is taken for the word where that is one of them."""

    def run_validation(self, value: object) -> str:
        """Return the word.

        Raises:
            ValidationError: where it is none of them.
        """
        word = "off" if value is False and "off" in self.choices else value
        if not isinstance(word, str) or word not in self.choices:
            raise ValidationError(f"it is one of {', '.join(self.choices)}, not {_short(value)}")
        return word


class Folder(config_options.Type[str]):
    """A folder, counted from mkdocs.yml; whether it is there is looked at later, since it may come about."""

    def __init__(self, default: str) -> None:
        super().__init__(str, default=default)

    def run_validation(self, value: object) -> str:
        """Return the folder as it was written.

        Raises:
            ValidationError: where it is no text, or no place at which a folder can be.
        """
        if not isinstance(value, str):
            raise ValidationError(f"it is the name of a folder, not {_short(value)}")
        try:
            path = Path(value).resolve()
            path.is_dir()
        except (OSError, ValueError) as error:
            raise ValidationError(f"no folder can have the name {_short(value)}") from error
        if path == path.parent:
            raise ValidationError("it is the folder of the YAML, not that of the whole machine")
        return value


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) < 60 else f"{text[:50]}...{text[-1]}"


class RigleafConfig(Config):  # type: ignore[no-untyped-call]
    """Options of the plugin."""

    rigs = Folder("rigs")
    """Folder of YAML, counted from mkdocs.yml."""
    field_copy = Word(("auto", "whole", "rigs", "off"), default="auto")
    """What a reader's browser keeps for use without signal: all, the rigs that the reader chooses, or nothing."""
    policy = Word(("headers", "pages"), default="headers")
    """Who tells browsers what pages may do: the host by headers alone, or each page as well."""
    search = Word(("whole", "split"), default="whole")
    """What a browser fetches to search: the whole index, or the pieces of it that a question needs."""
