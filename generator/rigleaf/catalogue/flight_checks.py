"""What a model cannot see of carriers and flight rules: ids given twice within a carrier, rules that end too early."""

from typing import Any

from rigleaf.catalogue.document import Document, Path
from rigleaf.quantities import short


def check_flight(data: dict[str, Any], document: Document, path: Path) -> None:
    """Report what contradicts itself in a carrier or a rule."""
    rules = data.get("rules")
    if not isinstance(rules, list):
        _check_days(data, document, path)
        return
    seen: set[str] = set()
    for index, rule in enumerate(rules):
        if not isinstance(rule, dict):
            continue
        where = (*path, "rules", index)
        _check_days(rule, document, where)
        id_ = rule.get("id")
        if isinstance(id_, str) and id_ in seen:
            message = f"the id '{short(id_)}' is given twice in one carrier; call one of them otherwise"
            document.report((*where, "id"), "duplicate-id", message)
        elif isinstance(id_, str):
            seen.add(id_)


def _check_days(rule: dict[str, Any], document: Document, path: Path) -> None:
    since, until = rule.get("since"), rule.get("until")
    # Days written as ISO 8601 asks are in order when their texts are; others are reported as no days.
    if isinstance(since, str) and isinstance(until, str) and len(since) == len(until) == 10 and until < since:
        document.report((*path, "until"), "days", "the rule ends before it begins; exchange 'since' and 'until'")
