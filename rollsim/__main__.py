"""`python -m rollsim` is the same as `rollsim`."""

import sys

from rollsim.cli import main

if __name__ == "__main__":
    sys.exit(main())
