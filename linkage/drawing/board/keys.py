"""Every key of the board, what it does and how the help tells it. One list for the window, the help and the manual."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from linkage.drafting.desk import Desk

FINE, LARGE = 0.1, 10.0
"""Of a step of the arrow keys, with Ctrl and with Shift."""

LITTLE, WHEEL, MUCH = 0.01, 0.02, 0.1
"""Of the stroke: a key, a step of the mouse wheel, a key for more."""


@dataclass(frozen=True)
class Key:
    """``names``: as matplotlib calls the keys; ``told``: as the help writes them."""

    names: tuple[str, ...]
    told: str
    meaning: str
    act: Callable[[Desk, float], object]


def _arrow(name: str, direction: complex) -> list[Key]:
    def by(times: float) -> Callable[[Desk, float], object]:
        return lambda desk, now: desk.nudge(direction, times, now)

    return [
        Key((name,), "", "", by(1.0)),
        Key((f"shift+{name}",), "", "", by(LARGE)),
        Key((f"ctrl+{name}",), "", "", by(FINE)),
    ]


ARROWS = {"left": -1 + 0j, "right": 1 + 0j, "up": 1j, "down": -1j}

KEYS: tuple[Key, ...] = (
    Key(("tab", "n"), "Tab, n", "next pin", lambda d, now: d.select(1)),
    Key(
        ("shift+tab", "shift+iso_left_tab", "iso_left_tab", "backtab", "p"),
        "Shift+Tab, p",
        "pin before",
        lambda d, now: d.select(-1),
    ),
    Key((), "arrows", "move the pin by a step (Shift: ten steps, Ctrl: a tenth)", lambda d, now: None),
    *(key for name, direction in ARROWS.items() for key in _arrow(name, direction)),
    Key((",",), ", .", "gear down, up by 1 % of the stroke", lambda d, now: d.scrub(d.place - LITTLE)),
    Key((".",), "", "", lambda d, now: d.scrub(d.place + LITTLE)),
    Key(("<", "shift+<", ";"), "< >", "by 10 %; the mouse wheel by 2 %", lambda d, now: d.scrub(d.place - MUCH)),
    Key((">", "shift+>", ":"), "", "", lambda d, now: d.scrub(d.place + MUCH)),
    Key(("home",), "Home, End", "gear down, gear up", lambda d, now: d.scrub(0.0)),
    Key(("end",), "", "", lambda d, now: d.scrub(1.0)),
    Key((" ", "space"), "Space", "play the stroke, stop", lambda d, now: d.play()),
    Key(("s",), "s, S", "next state, state before", lambda d, now: d.next_state(1)),
    Key(("S", "shift+S"), "", "", lambda d, now: d.next_state(-1)),
    Key(("m",), "m", "keep lengths, keep places", lambda d, now: d.other_keep()),
    Key(("g",), "g", "snap: none, step, grid", lambda d, now: d.next_snap()),
    Key(("u", "ctrl+z"), "u, Ctrl+Z", "undo", lambda d, now: d.undo(now)),
    Key(("r", "ctrl+y", "ctrl+shift+z", "ctrl+Z"), "r, Ctrl+Y", "redo", lambda d, now: d.redo(now)),
    Key(("w", "ctrl+s"), "w, Ctrl+S", "write into the study file", lambda d, now: d.save()),
    Key(("b",), "b", "write to a new file beside it", lambda d, now: d.save(beside=True)),
    Key(("l",), "l", "load the file again", lambda d, now: d.reload(now)),
    Key(("escape",), "Esc", "let go without moving, clear the message", lambda d, now: d.cancel(now)),
    Key(("?", "shift+?", "f1", "h"), "?, h", "this list", lambda d, now: None),
    Key(("q", "ctrl+q"), "q", "quit", lambda d, now: d.quit()),
)

HELP = {"?", "shift+?", "f1", "h"}
ACTS = {name: key for key in KEYS for name in key.names}


def told() -> list[tuple[str, str]]:
    """Keys and meanings, in the order of the list."""
    return [(key.told, key.meaning) for key in KEYS if key.told]


def press(desk: Desk, name: str | None, now: float) -> bool:
    """Do what a key means; False for a key that means nothing."""
    key = ACTS.get(name or "")
    if key is None:
        return False
    desk.other_act({"l": "reload", "q": "quit"}.get(key.names[0], ""))
    key.act(desk, now)
    return True
