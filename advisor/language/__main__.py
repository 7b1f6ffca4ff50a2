"""`python -m advisor.language`: the understand command alone."""

import argparse
import sys

from advisor.cli.understand import add_parser

if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="advisor.language")
    add_parser(parser.add_subparsers(required=True))
    arguments = parser.parse_args(["understand", *sys.argv[1:]])
    sys.exit(arguments.run(arguments))
