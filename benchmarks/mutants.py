"""Do the tests notice? Change one operator, constant or comparison of a module at a time, and run its tests.

    nice -n 15 python -m benchmarks.mutants [--minutes 30] [--seed 1] [--module heap ...] [--all]

Mutants are drawn at random from a seed until the minutes of CPU are used up. A copy of the checkout is
changed, never the checkout itself. A mutant that no test notices is printed; `docs/mutants.md` explains them.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
CHAIN = ("tests/science/test_by_hand.py", "tests/science/test_chain.py")
HAND = "tests/season/test_by_hand.py"
BED = "tests/season/test_bed_by_hand.py"
PACK = "tests/season/test_pack_by_hand.py"
#: Module -> the tests that are run against its mutants.
TESTS: dict[str, tuple[str, ...]] = {
    **{
        f"advisor/science/{name}.py": CHAIN
        for name in ("bedding", "excreta", "heap", "height", "money", "outcome", "space", "supply", "turning")
    },
    "advisor/science/air.py": (*CHAIN, "tests/validation/test_air.py"),
    "advisor/science/land.py": (*CHAIN, "tests/validation/test_spreading.py"),
    "advisor/science/mix.py": ("tests/science/test_mix.py",),
    "advisor/season/step.py": (HAND, "tests/season/test_step.py", "tests/season/test_simulate.py"),
    "advisor/season/simulate.py": (HAND, "tests/season/test_simulate.py"),
    "advisor/season/decide.py": (HAND, "tests/season/test_decide.py"),
    "advisor/season/linear.py": (HAND, "tests/season/test_linear.py", "tests/season/test_decide.py"),
    "advisor/season/timeline.py": (HAND, "tests/season/test_timeline.py"),
    **{f"advisor/season/{name}.py": (BED, "tests/science/test_chain.py") for name in ("bed", "weather")},
    "advisor/season/pack.py": (PACK,),
}
#: Loaded once, before the forks: nothing here imports a module that is changed, so neither science nor season.
HEAVY = (
    "numpy", "hypothesis", "hypothesis.strategies", "pydantic", "yaml", "pytest", "scipy.optimize", "highspy",
    "advisor.knowledge", "advisor.units", "advisor.farm", "advisor.reasoning.derivations",
)  # fmt: skip
_LONGEST_S = 60  # CPU seconds of one mutant: a change that never ends counts as noticed

_OPERATORS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
_COMPARISONS: dict[type[ast.AST], tuple[type[ast.AST], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE), ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,),
}  # fmt: skip
_TWINS = {"maximum": "minimum", "minimum": "maximum", "max": "min", "min": "max", "all": "any", "any": "all"}


@dataclass(frozen=True)
class Mutant:
    """One change of one module."""

    module: str
    line: int
    what: str
    source: str


def mutants(module: str) -> list[Mutant]:
    """Every mutant of a module."""
    text = (ROOT / module).read_text("utf-8")
    tree = ast.parse(text)
    found = []
    for node, change in _places(tree):
        for what, undo in change(node):
            found.append(Mutant(module, getattr(node, "lineno", 0), what, ast.unparse(tree)))
            undo()
    return found


_Change = Iterator[tuple[str, Callable[[], None]]]


def _places(tree: ast.AST) -> Iterator[tuple[ast.AST, Callable[[ast.AST], _Change]]]:
    """Nodes that can be changed: none in annotations, decorators, docstrings, the list of exports or guards."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            continue
        if isinstance(node, ast.keyword) and node.arg in ("strict", "frozen"):
            continue  # guards against a slip of the programmer's, which no right answer can show
        yield node, _changed
        yield from _places(_without_signature(node))


def _without_signature(node: ast.AST) -> ast.AST:
    """The part of a node that runs each time it is used."""
    if isinstance(node, ast.FunctionDef):
        return ast.Module(body=node.body, type_ignores=[])
    if isinstance(node, ast.AnnAssign):
        return ast.Module(body=[] if node.value is None else [ast.Expr(node.value)], type_ignores=[])
    return node


def _set(node: ast.AST, field: str, new: object, what: str) -> tuple[str, Callable[[], None]]:
    """Change a field of a node; the second part puts it back."""
    old = getattr(node, field)
    before = ast.unparse(node)
    setattr(node, field, new)
    return f"{what or before}  ->  {ast.unparse(node)}", lambda: setattr(node, field, old)


def _changed(node: ast.AST) -> _Change:
    if isinstance(node, ast.BinOp | ast.AugAssign | ast.BoolOp) and type(node.op) in _OPERATORS:
        yield _set(node, "op", _OPERATORS[type(node.op)](), "")
    elif isinstance(node, ast.Compare):
        for place, operator in enumerate(node.ops):
            for other in _COMPARISONS.get(type(operator), ()):
                yield _set(node, "ops", [*node.ops[:place], other(), *node.ops[place + 1 :]], "")
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield _set(node, "op", ast.UAdd(), "")
    elif isinstance(node, ast.IfExp | ast.If | ast.While):
        before = ast.unparse(node.test)
        old = node.test
        node.test = ast.UnaryOp(ast.Not(), old)
        yield f"if {before}  ->  if not ({before})", lambda: setattr(node, "test", old)
    elif isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        new = not node.value if isinstance(node.value, bool) else node.value + 1
        yield _set(node, "value", new, "")
    elif isinstance(node, ast.Call):
        name = node.func
        if isinstance(name, ast.Attribute) and name.attr in _TWINS:
            yield _set(name, "attr", _TWINS[name.attr], "")
        elif isinstance(name, ast.Name) and name.id in _TWINS:
            yield _set(name, "id", _TWINS[name.id], "")


def _copy(to: Path) -> None:
    """A checkout of its own to change."""
    ignore = shutil.ignore_patterns("__pycache__", "*.pyc")
    for folder in ("advisor", "tests", "knowledge"):
        shutil.copytree(ROOT / folder, to / folder, ignore=ignore)
    shutil.copy(ROOT / "pyproject.toml", to)


def _noticed(mutant: Mutant, at: Path) -> bool:
    """Whether the module's tests fail on the mutant: first the sums by hand, called as they are, then all."""
    target = at / mutant.module
    original = target.read_text("utf-8")
    target.write_text(mutant.source, "utf-8")
    tests = TESTS[mutant.module]
    noticed = (
        tests[0].endswith("by_hand.py") and (at / tests[0]).exists() and _fork(_call_tests, tests[0], at)
    ) or _fork(_run_tests, tests, at)
    target.write_text(original, "utf-8")
    return noticed


def _fork(run: Callable[[Any, Path], int], tests: str | tuple[str, ...], at: Path) -> bool:
    """Whether the tests fail in a process of their own, in which all that is heavy is loaded already."""
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_CPU, (_LONGEST_S, _LONGEST_S))
        signal.signal(signal.SIGXCPU, signal.SIG_DFL)
        with Path(os.devnull).open("w") as nowhere:
            os.dup2(nowhere.fileno(), 1)
            os.dup2(nowhere.fileno(), 2)
        try:
            code = run(tests, at)
        except BaseException:
            code = 1
        os._exit(code)
    return os.waitpid(child, 0)[1] != 0


def _call_tests(test: str, at: Path) -> int:
    """Call the plain functions of a test module: a tenth of the cost of collecting them."""
    del at
    module = importlib.import_module(test[:-3].replace("/", "."))
    for name, function in vars(module).items():
        if name.startswith("test_"):
            function(
                **(
                    {"known": importlib.import_module("advisor.knowledge").knowledge()}
                    if "known" in function.__code__.co_varnames[:1]
                    else {}
                )
            )
    return 0


def _run_tests(tests: tuple[str, ...], at: Path) -> int:
    import pytest

    there = [test for test in tests if (at / test).exists()]
    return int(pytest.main([*there, "-x", "-q", "-n", "0", "-p", "no:cacheprovider", "--no-header"]))


def _spent() -> float:
    """CPU minutes of this process and of the forks that have ended."""
    used = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(u.ru_utime + u.ru_stime for u in used) / 60


def main() -> None:
    """Draw, test, print the survivors and the shares."""
    told = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    told.add_argument("--minutes", type=float, default=30.0)
    told.add_argument("--seed", type=int, default=1)
    told.add_argument(
        "--module", nargs="*", default=[], help="file names without .py; all where none is named"
    )
    told.add_argument("--all", action="store_true", help="no limit of time")
    asked = told.parse_args()
    wanted = [m for m in TESTS if not asked.module or Path(m).stem in asked.module]
    pool = [mutant for module in wanted for mutant in mutants(module)]
    random.Random(asked.seed).shuffle(pool)
    os.environ["CI"] = "1"  # hypothesis draws the same examples each time
    sys.dont_write_bytecode = True
    tried: dict[str, list[Mutant]] = {module: [] for module in wanted}
    survivors: list[Mutant] = []
    with tempfile.TemporaryDirectory(prefix="byrewise-mutants-") as folder:
        at = Path(folder)
        _copy(at)
        sys.path[:] = [folder, *(p for p in sys.path if p not in ("", str(ROOT)))]
        os.chdir(at)
        for heavy in HEAVY:
            importlib.import_module(heavy)
        importlib.import_module("advisor.knowledge").knowledge()
        for module in wanted:
            if any(name.startswith(module[:-3].replace("/", ".")) for name in sys.modules):
                raise SystemExit(f"{module} is loaded already: its mutants would never be seen")
        for tests in {TESTS[module] for module in wanted}:
            if _fork(_run_tests, tests, at):
                raise SystemExit(f"{' '.join(tests)} fail as they stand")
        with contextlib.suppress(KeyboardInterrupt):  # stopped early: what was tried still counts
            for mutant in pool:
                if _spent() > asked.minutes and not asked.all:
                    break
                noticed = _noticed(mutant, at)
                tried[mutant.module].append(mutant)
                if not noticed:
                    survivors.append(mutant)
                    print(f"{mutant.module}:{mutant.line}  {mutant.what}", flush=True)
    print()
    for module, some in tried.items():
        alive = sum(m.module == module for m in survivors)
        print(f"{module}: {len(some)} tried, {len(some) - alive} noticed, {alive} not")
    total = sum(map(len, tried.values()))
    print(
        f"all: {total} of {len(pool)} tried, {total - len(survivors)} noticed, {len(survivors)} not; seed {asked.seed}"
    )


if __name__ == "__main__":
    main()
