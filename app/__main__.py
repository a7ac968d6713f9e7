"""`python -m app` is the command `strokeside`."""

import sys

from app.commands import main

sys.exit(main())
