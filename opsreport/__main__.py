"""`python -m opsreport`, and the command itself."""

import sys


def main() -> int:
    """Run the command that was typed; stopped while the package is still being loaded, it ends without a word."""
    try:
        from opsreport.cli import main as run

        return run()
    except KeyboardInterrupt:
        return 2


if __name__ == "__main__":  # a helping process imports this module too
    sys.exit(main())
