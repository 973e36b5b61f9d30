"""`python -m opsreport`."""

import sys

from opsreport.cli import main

sys.exit(main())
