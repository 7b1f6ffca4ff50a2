"""The whole knowledge base, read from its YAML once for all tests that look into it."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from advisor.knowledge import knowledge_folder, read_knowledge

__all__ = ["FAULTS", "KNOWLEDGE", "for_each"]

KNOWLEDGE, FAULTS, _ = read_knowledge(knowledge_folder())


def for_each(keys: Iterable[str]) -> Callable[[Callable[[str], None]], Callable[[], None]]:
    """One test over many entries, that names every entry which fails: a test each would cost more than it tests."""

    def over(test: Callable[[str], None]) -> Callable[[], None]:
        def all_of_them() -> None:
            failed = {}
            for key in keys:
                try:
                    test(key)
                except AssertionError as error:
                    failed[key] = str(error)
            assert not failed, "\n".join(f"{key}: {error}" for key, error in failed.items())

        all_of_them.__name__, all_of_them.__doc__ = test.__name__, test.__doc__
        return all_of_them

    return over
