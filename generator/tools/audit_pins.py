"""Says what an audit of the pins found, and fails when one of them is known to be bad.

    pip-audit --format json ... | python generator/tools/audit_pins.py

Where the auditor found no data about a package, or none at all, that is said and is no failure: a machine without a
network cannot know, and must be able to build.
"""

import json
import sys
from typing import Any


def judge(text: str) -> tuple[list[str], str]:
    """Return a line for each known weakness, and what was looked at.

    Args:
        text: the auditor's JSON; empty or cut off when it could not reach its data.
    """
    try:
        packages: list[dict[str, Any]] = json.loads(text)["dependencies"]
    except (ValueError, KeyError, TypeError):
        return [], "Nothing was audited: there are no data about known weaknesses at hand."
    bad = [
        f"{package['name']}=={package['version']} is known to be bad: {weakness['id']}"
        + (
            f"; mended in {', '.join(weakness['fix_versions'])}"
            if weakness["fix_versions"]
            else "; no release mends it"
        )
        for package in packages
        for weakness in package.get("vulns", ())
    ]
    unknown = sum("skip_reason" in package for package in packages)
    return (
        bad,
        f"{len(packages) - unknown} of {len(packages)} pinned packages were audited; of the others there are no data.",
    )


def main() -> int:
    """Print the judgement; return 1 when a pin is known to be bad."""
    bad, told = judge(sys.stdin.read())
    print(*bad, told, sep="\n")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
