"""Write every generated file of a checkout: ``python -m weavefuncs.addin.reference [FOLDER]``."""

from __future__ import annotations

import sys
from pathlib import Path

from weavefuncs.addin.reference.index import index_source, stub_source


def main(root: Path) -> None:
    """Write the generated files below the root of a checkout."""
    (root / "weavefuncs" / "_index.py").write_text(index_source(), encoding="utf-8")
    (root / "weavefuncs" / "__init__.pyi").write_text(stub_source(), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "."))
