"""How the calendar is written: the type and its reader.

Takes the ``calendar`` of a garden file; gives a frozen `CalendarStyle`.  Hides the names of colours.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import time
from typing import Literal

from steadysow.inputs.values import Value, nearest

# The colour names of CSS 3, which a calendar may use (RFC 7986, 5.9).
_COLORS = """\
aliceblue antiquewhite aqua aquamarine azure beige bisque black blanchedalmond blue blueviolet brown burlywood
cadetblue chartreuse chocolate coral cornflowerblue cornsilk crimson cyan darkblue darkcyan darkgoldenrod darkgray
darkgreen darkgrey darkkhaki darkmagenta darkolivegreen darkorange darkorchid darkred darksalmon darkseagreen
darkslateblue darkslategray darkslategrey darkturquoise darkviolet deeppink deepskyblue dimgray dimgrey dodgerblue
firebrick floralwhite forestgreen fuchsia gainsboro ghostwhite gold goldenrod gray green greenyellow grey honeydew
hotpink indianred indigo ivory khaki lavender lavenderblush lawngreen lemonchiffon lightblue lightcoral lightcyan
lightgoldenrodyellow lightgray lightgreen lightgrey lightpink lightsalmon lightseagreen lightskyblue
lightslategray lightslategrey lightsteelblue lightyellow lime limegreen linen magenta maroon mediumaquamarine
mediumblue mediumorchid mediumpurple mediumseagreen mediumslateblue mediumspringgreen mediumturquoise
mediumvioletred midnightblue mintcream mistyrose moccasin navajowhite navy oldlace olive olivedrab orange
orangered orchid palegoldenrod palegreen paleturquoise palevioletred papayawhip peachpuff peru pink plum
powderblue purple red rosybrown royalblue saddlebrown salmon sandybrown seagreen seashell sienna silver skyblue
slateblue slategray slategrey snow springgreen steelblue tan teal thistle tomato turquoise violet wheat white
whitesmoke yellow yellowgreen
"""
COLOR_NAMES = tuple(_COLORS.split())


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarStyle:
    """How the calendar is written.

    Attributes
    ----------
    alarm
        The time of day of an alarm, or ``None``.
    detail
        One event for each chore (``each``), or one for each day (``daily``).
    color
        One of `COLOR_NAMES`; empty to leave the choice to the subscriber.
    tasks
        Whether a file of tasks is written too.
    """

    alarm: time | None = None
    detail: Literal["each", "daily"] = "each"
    color: str = ""
    tasks: bool = False


def read_calendar(value: Value) -> CalendarStyle:
    """Read how the calendar is written, from the value of ``calendar``."""
    calendar = value.section("alarm", "detail", "color", "tasks")
    alarm, detail, color, tasks = (calendar.find(key) for key in calendar.keys)
    return CalendarStyle(
        alarm=alarm.clock() if alarm else None,
        detail=detail.choice(("each", "daily")) if detail else "each",
        color=_read_color(color) if color else "",
        tasks=tasks is not None and tasks.choice(("true", "false")) == "true",
    )


def _read_color(value: Value) -> str:
    """Read a colour by its name; a fault names only the nearest colour, since there are too many to list."""
    name = value.text().casefold()
    if name and name not in COLOR_NAMES:
        near = nearest(name, COLOR_NAMES)
        value.fault(f'"{name}" is not a CSS colour name', f"Did you mean {near}?" if near else "Write such as seagreen")
    return name
