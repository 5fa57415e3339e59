"""The weavefuncs command as ``python -m weavefuncs.addin.cli``."""

import sys

from weavefuncs.addin.cli import main

sys.exit(main())
