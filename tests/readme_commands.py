"""Runs the two commands of the README as they are printed there, in a shell, from the top of the checkout.

A person copies them; so does this. Leaves with the status of the first that fails.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def commands() -> dict[str, str]:
    """The marked commands of the README, by their number in words."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return dict(re.findall(r"<!-- command (\w+) -->\n```sh\n(.*?)\n```", text, flags=re.DOTALL))


def main() -> int:
    """Runs command one, then command two."""
    found = commands()
    if list(found) != ["one", "two"]:
        print(f"the README has commands {list(found)}, not one and two")
        return 1
    for name, command in found.items():
        print(f"== command {name}: {command}", flush=True)
        status = subprocess.run(["bash", "-ec", command], cwd=ROOT, check=False).returncode
        if status:
            return status
    return 0


if __name__ == "__main__":
    sys.exit(main())
