"""``python -m weavefuncs``: the command, also where its script is not on the path."""

import sys

from weavefuncs.addin.cli import main

sys.exit(main())
