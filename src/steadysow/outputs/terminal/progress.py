"""How far the planner has come, shown while it works."""

from __future__ import annotations

from collections.abc import Callable
from types import TracebackType

from rich.console import Console
from rich.live import Live
from rich.text import Text

from steadysow.amounts import bound_text, reached_text


class Progress:
    """Shows the best plan and the bound so far, if a person watches.

    Use it in a ``with`` statement: it gives a callback that takes ``(best, bound, seconds)``, both shares from 0 to 1.
    Where the console is no terminal, nothing is shown.

    Parameters
    ----------
    console
        The console of the error stream.
    """

    def __init__(self, console: Console) -> None:
        self._live = Live(console=console, auto_refresh=False, transient=True) if console.is_terminal else None

    def __enter__(self) -> Callable[[float, float, float], None]:
        """Start to show."""
        if self._live is not None:
            self._live.start()
        return self._report

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Clear what was shown."""
        if self._live is not None:
            self._live.stop()

    def _report(self, best: float, bound: float, seconds: float) -> None:
        if self._live is not None:
            found = f"meets {reached_text(best)} of what you asked" if best > 0 else "no plan yet"
            most = f"none can meet more than {bound_text(min(bound, 1.0))}"
            self._live.update(Text(f"Planning, {seconds:.0f} s: {found}; {most}"), refresh=True)
