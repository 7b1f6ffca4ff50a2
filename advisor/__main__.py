"""`python -m advisor` is `byrewise`."""

from advisor.cli import main

main()
