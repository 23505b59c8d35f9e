"""A person's calendar program that subscribes to feeds: evolution-data-server, which GNOME's calendars stand on.

Run by the system's Python, which has its bindings, within a message bus of its own.  Takes requests on standard input
and gives answers on standard output, one JSON object a line each:

    {"do": "subscribe", "name": "garden", "url": "http://..."}      {"shown": [...]}
    {"do": "refresh", "name": "garden"}                             {"shown": [...]}
    {"do": "show", "name": "garden"}                                {"shown": [...]}

where ``shown`` holds ``[uid, start, summary]`` of each event as the program shows it at that moment.  A refresh is
answered when the server has answered, or has not; the program takes in what came a moment later.
"""

from __future__ import annotations

import json
import sys
import time
from importlib import import_module
from typing import Any

# The bindings have no types, and the Python that checks types has no bindings.
gi: Any = import_module("gi")
gi.require_version("ECal", "2.0")
gi.require_version("EDataServer", "1.2")
ECal: Any = import_module("gi.repository.ECal")
EDataServer: Any = import_module("gi.repository.EDataServer")
Gio: Any = import_module("gi.repository.Gio")
GLib: Any = import_module("gi.repository.GLib")

# How long anything may take on a busy machine; whoever asks gives up at about the same time [s].
PATIENCE = 30
# Not to wait for the server: what it sent is asked for later, and a server that is down must not keep us.
AT_ONCE = 0xFFFFFFFF


def subscribe(registry: Any, name: str, url: str) -> Any:
    """Add a calendar by its address, as a person does; give it as the program shows it."""
    source = EDataServer.Source.new_with_uid(name, None)
    source.set_parent("webcal-stub")
    source.set_display_name(name)
    source.get_extension(EDataServer.SOURCE_EXTENSION_CALENDAR).set_backend_name("webcal")
    address = source.get_extension(EDataServer.SOURCE_EXTENSION_WEBDAV_BACKEND)
    address.set_uri(GLib.Uri.parse(url, GLib.UriFlags.NONE))
    source.get_extension(EDataServer.SOURCE_EXTENSION_AUTHENTICATION).set_method("none")
    # It looks when it is told to, and not by itself.
    source.get_extension(EDataServer.SOURCE_EXTENSION_REFRESH).set_enabled(False)
    source.get_extension(EDataServer.SOURCE_EXTENSION_OFFLINE).set_stay_synchronized(True)
    registry.commit_source_sync(source, None)
    end = time.monotonic() + PATIENCE
    # Each process of the program hears of the subscription in its own time.
    while True:
        known = registry.ref_source(name)
        try:
            if known is not None:
                return ECal.Client.connect_sync(known, ECal.ClientSourceType.EVENTS, AT_ONCE, None)
        except GLib.Error as error:
            if not error.matches(Gio.io_error_quark(), Gio.IOErrorEnum.NOT_FOUND) or time.monotonic() > end:
                raise
        if time.monotonic() > end:
            raise TimeoutError(f"after {PATIENCE} s the registry does not know the subscription")
        time.sleep(0.05)


def shown(calendar: Any) -> list[tuple[str, str, str]]:
    """Give what is in the calendar now."""
    _, events = calendar.get_object_list_sync("#t", None)
    return sorted((event.get_uid(), event.get_dtstart().as_ical_string(), event.get_summary()) for event in events)


def main() -> None:
    """Response requests until there are no more."""
    registry = EDataServer.SourceRegistry.new_sync(None)
    calendars: dict[str, Any] = {}
    for line in sys.stdin:
        asked = json.loads(line)
        name = asked["name"]
        try:
            if asked["do"] == "subscribe":
                calendars[name] = subscribe(registry, name, asked["url"])
            elif asked["do"] == "refresh":
                calendars[name].refresh_sync(None)
            answer: dict[str, Any] = {"shown": shown(calendars[name])}
        except (GLib.Error, TimeoutError) as error:
            answer = {"error": str(error)}
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
