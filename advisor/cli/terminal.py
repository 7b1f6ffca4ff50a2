"""The terminal: completion for the question at hand, history, and a bottom line that says how far along."""

from __future__ import annotations

import contextlib
import shutil
import threading
from collections.abc import Callable, Iterable

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document
from prompt_toolkit.history import FileHistory, History, InMemoryHistory
from prompt_toolkit.input import Input
from prompt_toolkit.output import Output

from advisor.cli.drawing import coloured, drawn
from advisor.cli.errors import state_folder
from advisor.dialogue.reply import Line, Reply

__all__ = ["Suggestions", "TerminalSurface", "history"]

_WIDEST = 76
_MOST_SHOWN = 12


class Suggestions(Completer):
    """Offers what may be answered here, by any word of it."""

    def __init__(self) -> None:
        self.words: tuple[str, ...] = ()

    def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterable[Completion]:
        """The suggestions one of whose words begins with what was typed last."""
        typed = document.text_before_cursor
        last = typed.rsplit(",", 1)[-1].lstrip() if "," in typed else typed.lstrip()
        start = last.split(" and ")[-1].lstrip("0123456789 ").casefold()
        if not start:
            return
        found = [w for w in self.words if w.casefold().startswith(start)]
        found += [
            w for w in self.words if w not in found and any(p.startswith(start) for p in w.casefold().split())
        ]
        for word in found[:_MOST_SHOWN]:
            yield Completion(word, start_position=-len(start))


class TerminalSurface:
    """A screen and a keyboard."""

    def __init__(self, source: Input | None = None, output: Output | None = None) -> None:
        self.suggestions = Suggestions()
        self._progress = ""
        self._colour = coloured()
        self._session: PromptSession[str] = PromptSession(
            history=history(),
            completer=self.suggestions,
            complete_while_typing=True,
            bottom_toolbar=lambda: self._progress,
            reserve_space_for_menu=4,
            input=source,
            output=output,
        )

    @property
    def width(self) -> int:
        """Width to write in: the screen's, within what reads well."""
        return max(20, min(shutil.get_terminal_size((_WIDEST, 24)).columns, _WIDEST))

    def show(self, lines: Iterable[Line]) -> None:
        """Print, folded to the screen."""
        print(drawn(lines, self.width, self._colour), flush=True)

    def show_text(self, text: str) -> None:
        """Print as it is."""
        print(text, flush=True)

    def ask(
        self, reply: Reply, suggest: Callable[[], tuple[str, ...]], meanwhile: Callable[[], None]
    ) -> str | None:
        """Read a line while suggestions and plan are worked out behind; None at Ctrl-D."""
        self._progress = f" {reply.progress}"[: max(20, self.width)]

        def behind() -> None:
            self.suggestions.words = suggest()
            meanwhile()

        thought = threading.Thread(target=behind, daemon=True)
        thought.start()
        try:
            return self._session.prompt("> ")
        except EOFError:
            return None
        finally:
            thought.join()


def history() -> History:
    """What was typed before, kept in the state folder where it can be."""
    with contextlib.suppress(OSError):
        folder = state_folder()
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / "history"
        path.touch(mode=0o600)
        return FileHistory(str(path))
    return InMemoryHistory()
