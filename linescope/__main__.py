"""`python -m linescope`."""

import sys

from linescope.cli import main

sys.exit(main())
