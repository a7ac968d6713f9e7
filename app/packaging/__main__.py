"""`python -m app.packaging` builds the application; `./start application` calls it."""

import sys

from app.packaging.build import main

sys.exit(main())
