"""`python -m opsreport`."""

import sys

from opsreport.cli import main

if __name__ == "__main__":  # a helping process imports this module too
    sys.exit(main())
