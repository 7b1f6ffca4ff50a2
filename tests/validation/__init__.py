"""The program against the outside world: published trials, manure tables, excretion, a ration model."""
