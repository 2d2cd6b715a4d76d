"""What of the guide's own folder may reach the site where that folder lies in the docs folder, or around it."""

import os
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import get_plugin_logger
from mkdocs.structure.files import File, Files

from rigleaf.catalogue.files import PHOTO_ENDINGS, YAML_ENDINGS
from rigleaf.site.shelf.photos import Darkroom, PhotoError

log = get_plugin_logger(__name__)

PUBLISHED = frozenset({".md", *PHOTO_ENDINGS, ".gif", ".svg", ".ico", ".css", ".js", ".woff2"})
"""Endings of hand-written pages, of pictures, and of what styles them. Notes, lists and backups have others."""


def refuse_shut_folders(docs: Path) -> None:
    """Return quietly where all of the docs folder can be read: MkDocs would leave out what is shut to it, and not tell.

    Raises:
        PluginError: with the folder that cannot be read.
    """

    def refuse(error: OSError) -> None:
        raise PluginError(f"the folder '{error.filename}' cannot be read: {error.strerror}") from error

    for _ in os.walk(docs, onerror=refuse, followlinks=True):
        pass


def keep_out(files: Files, config: MkDocsConfig, root: Path, originals: frozenset[Path], darkroom: Darkroom) -> None:
    """Take out of ``files`` all of the guide's folder that is not meant for the public.

    A guide's folder within the docs folder stays out whole. Where both are one, pages, pictures and what
    styles them pass; pictures without what a camera wrote into them, and those that parts name not at all,
    since the parts' pages have their own copies. Where the docs folder lies in the guide's, everything in it
    is there to be published, save YAML, hidden files and backups.

    Args:
        root: the guide's folder.
        originals: the files that parts name as their photos, resolved.
        darkroom: makes the clean copies.
    """
    root, docs = root.resolve(), Path(config.docs_dir).resolve()
    for file in list(files):
        path = Path(file.abs_src_path).resolve() if file.abs_src_path else None
        # A link elsewhere may lead in here, and one in here elsewhere: both the file and its name are looked at.
        named = Path(config.docs_dir).resolve() / file.src_uri if path else None
        if path is None or named is None or not (path.is_relative_to(root) or named.is_relative_to(root)):
            continue
        within = root != docs and root.is_relative_to(docs)
        if within or _looks_private(file.src_uri) or path in originals:
            files.remove(file)
        elif root == docs:
            _let_through(file, path, files, config, darkroom)


def _looks_private(name: str) -> bool:
    """Whether a name is that of YAML, whatever else is hung onto it, of a hidden file or of a backup."""
    steps = name.casefold().split("/")
    return any(step.startswith(".") or step.endswith("~") for step in steps) or any(
        ending in steps[-1] for ending in YAML_ENDINGS
    )


def _let_through(file: File, path: Path, files: Files, config: MkDocsConfig, darkroom: Darkroom) -> None:
    ending = Path(file.src_uri).suffix.lower()
    if ending not in PUBLISHED or path.suffix.lower() not in PUBLISHED:
        files.remove(file)
    elif ending in PHOTO_ENDINGS:
        files.remove(file)
        try:
            copy = str(darkroom.copy(path))
        except PhotoError as error:
            log.warning("'%s' is left out: it %s", file.src_uri, error)
        else:
            files.append(File.generated(config, file.src_uri, abs_src_path=copy, inclusion=file.inclusion))
