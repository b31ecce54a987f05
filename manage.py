#!/usr/bin/env python3
"""Run the demo, the tests or any Django command, in an environment made at need."""

import sys
from pathlib import Path

if sys.version_info < (3, 11):  # noqa: UP036 -- told in words, where a traceback would come
    found = ".".join(str(part) for part in sys.version_info[:3])
    sys.exit(f"Drilosphere needs Python 3.11 or newer. This is {found} ({sys.executable}).")

from portal.bootstrap.launch import main

if __name__ == "__main__":
    sys.exit(main(Path(__file__).resolve().parent, sys.argv))
