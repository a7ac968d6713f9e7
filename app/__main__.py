"""`python -m app` is the command `strokeside`."""

import sys

from app.commands.program import main

sys.exit(main())
