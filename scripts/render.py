"""Write what is rendered from the contract: the dictionary and the demo folder's descriptor.

python3 scripts/render.py            write them
python3 scripts/render.py --check    exit 1 if one is stale
"""

from __future__ import annotations

import json
import sys
from pathlib import Path, PurePath

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from towdb.contract.documents import data_package, dictionary
from towdb.contract.model import contract
from towdb.reference.relations import DERIVED, view_notes
from towdb.reference.rules import rules
from towdb.resources import demo_path, schema_path


def rendered() -> dict[Path, str]:
    """Every rendered file with what it should hold."""
    folder = demo_path() / "reference"
    files = {
        name: PurePath(f"{name}.csv")
        for name in contract().tables
        if (folder / f"{name}.csv").exists()
    }
    package = data_package(files, "towdb-demo-reference", "towdb demo reference (invented)")
    return {
        schema_path() / "dictionary.md": dictionary() + _rules() + _views(),
        folder / "datapackage.json": json.dumps(package, indent=2, ensure_ascii=False) + "\n",
    }


def _rules() -> str:
    lines = ["", "## Rules", "", "| rule | severity | truth |", "|---|---|---|"]
    lines += [f"| {rule.name} | {rule.severity} | {rule.truth} |" for rule in rules()]
    return "\n".join(lines) + "\n"


def _views() -> str:
    lines = ["", "## Views and derived tables of a release"]
    for name in DERIVED:
        meaning, columns = view_notes(name)
        lines += ["", f"### {name}", "", meaning, ""]
        lines += [f"- `{column}`: {note}" for column, note in columns.items()]
    return "\n".join(lines) + "\n"


def main() -> int:
    """Write or check; the exit status."""
    stale = [path for path, text in rendered().items() if _read(path) != text]
    if "--check" in sys.argv[1:]:
        for path in stale:
            print(f"{path.name} is stale: run python3 scripts/render.py", file=sys.stderr)
        return 1 if stale else 0
    for path in stale:
        path.write_text(rendered()[path], encoding="utf-8", newline="\n")
        print(f"wrote {path.name}")
    return 0


def _read(path: Path) -> str | None:
    return path.read_text("utf-8") if path.exists() else None


if __name__ == "__main__":
    sys.exit(main())
