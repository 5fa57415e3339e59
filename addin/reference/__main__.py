"""Write every generated file of a checkout: ``python -m weavefuncs.addin.reference [FOLDER]``."""

from __future__ import annotations

import sys
from pathlib import Path

from weavefuncs.addin.reference.index import index_source, stub_source
from weavefuncs.addin.reference.pages import readme_with_functions, reference


def generated(root: Path) -> dict[str, str]:
    """Return the text of every generated file of a checkout, by its path below the root."""
    return {
        "weavefuncs/_index.py": index_source(),
        "weavefuncs/__init__.pyi": stub_source(),
        "weavefuncs/README.md": reference(),
        "README.md": readme_with_functions((root / "README.md").read_text(encoding="utf-8")),
    }


def main(root: Path) -> None:
    """Write the generated files below the root of a checkout."""
    for path, text in generated(root).items():
        (root / path).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "."))
