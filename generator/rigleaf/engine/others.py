"""What other plugins and hooks take part in: of that nobody knows here on what it depends."""

from mkdocs.config.defaults import MkDocsConfig

KNOWN = frozenset({"search", "offline", "rigleaf"})
"""Plugins that do nothing to a generated page but what its record and frame say."""

FRAMING = frozenset({"pre_page", "page_read_source", "page_markdown", "page_content", "page_context", "post_page"})
"""Events in which a plugin sees a page before it is framed, while, or after."""

_ELSEWHERE = frozenset({"startup", "shutdown", "serve", "build_error"})
"""Events in which a plugin changes nothing of a site."""


def told_to_others(config: MkDocsConfig) -> frozenset[str]:
    """Return the events of a build in which a plugin or a hook that is not known takes part."""
    known = {id(plugin) for name, plugin in config.plugins.items() if name.rpartition("/")[2] in KNOWN}
    return frozenset(
        event
        for event, methods in config.plugins.events.items()
        if any(id(getattr(method, "__self__", None)) not in known for method in methods)
    )


def depends_on_others(config: MkDocsConfig) -> bool:
    """Say whether a finished page may depend on more than its record, its frame and the configuration."""
    return bool(told_to_others(config) - _ELSEWHERE)
