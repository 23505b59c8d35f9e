"""A CalDAV collection: what it holds, and making one.

Takes a server and an address; gives the ETags of what is there.  Hides WebDAV and its XML (RFC 4918, RFC 4791), which
is read without trust: a document that declares entities is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from urllib.parse import unquote, urlsplit
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from steadysow.outputs.web import Address, RemoteServer, Response, Trouble, refused

_XML = 'application/xml; charset="utf-8"'
_DAV, _CALDAV = "{DAV:}", "{urn:ietf:params:xml:ns:caldav}"
_PROPFIND = (
    b'<?xml version="1.0" encoding="utf-8"?><propfind xmlns="DAV:"><prop><getetag/><resourcetype/></prop></propfind>'
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """What a collection holds: ETag by name of resource."""

    address: Address
    etags: Mapping[str, str]


def list_collection(server: RemoteServer, collection: Address) -> Listing | None:
    """List a collection; ``None`` if there is none.

    Raises
    ------
    Trouble
        If the server does not answer as one of calendars does, or it is no calendar.
    """
    answer = server.ask(collection, "PROPFIND", _PROPFIND, {"Depth": "1", "Content-Type": _XML})
    if answer.status in (404, 410):
        return None
    if answer.status >= 300:
        raise refused(answer, "PROPFIND", server.user)
    if answer.status != 207:
        wrong = f"{collection.host} does not speak CalDAV at this address"
        raise Trouble(wrong, "Check the address; with --file the calendar is put there as one file")
    etags: dict[str, str] = {}
    kinds: set[str] = set()
    path = unquote(answer.address.path).rstrip("/")
    for response in _read_xml(answer).iter(f"{_DAV}response"):
        there = unquote(urlsplit(response.findtext(f"{_DAV}href", "").strip()).path).rstrip("/")
        types = {kind.tag for kind in response.iterfind(f".//{_DAV}resourcetype/*")}
        if there == path:
            kinds = types
        elif f"{_DAV}collection" not in types:
            etags[there.rsplit("/", 1)[-1]] = _quoted(response.findtext(f".//{_DAV}getetag", "").strip())
    if f"{_CALDAV}calendar" not in kinds and "calendar-access" in server.ask(collection, "OPTIONS").headers.get(
        "dav", ""
    ):
        wrong = f"{collection} is no calendar but what holds calendars"
        raise Trouble(wrong, "Give the address of one calendar in it; --make-collection makes a new one")
    address = answer.address
    return Listing(address=replace(address, path=f"{address.path.removesuffix('/')}/"), etags=etags)


def _quoted(etag: str) -> str:
    """Give an ETag as it is in headers; some servers leave out the quotation marks in lists."""
    return etag if not etag or etag.endswith('"') else f'"{etag}"'


def make_collection(server: RemoteServer, collection: Address, name: str) -> None:
    """Make a collection: a calendar, or where there is only WebDAV a folder.

    Raises
    ------
    Trouble
        If the server makes neither.
    """
    body = (
        '<?xml version="1.0" encoding="utf-8"?>'
        '<C:mkcalendar xmlns="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav"><set><prop>'
        f"<displayname>{escape(name)}</displayname>"
        '<C:supported-calendar-component-set><C:comp name="VEVENT"/></C:supported-calendar-component-set>'
        "</prop></set></C:mkcalendar>"
    ).encode()
    answer, method = server.ask(collection, "MKCALENDAR", body, {"Content-Type": _XML}), "MKCALENDAR"
    if answer.status in (400, 405, 501) and "calendar-access" not in answer.headers.get("dav", ""):
        answer, method = server.ask(collection, "MKCOL"), "MKCOL"
    # That it is there by now is no fault: the first of two equal requests may have made it.
    if answer.status >= 300 and list_collection(server, collection) is None:
        raise refused(answer, method, server.user)


class _NoDoctype(ElementTree.TreeBuilder):
    """Builds a tree and refuses the declarations that a few bytes can be blown up with."""

    def doctype(self, name: str, pubid: str, system: str) -> None:
        """Refuse it before any of its entities is read."""
        raise ValueError(f"the document declares a type: {name}, {pubid}, {system}")


def _read_xml(answer: Response) -> ElementTree.Element:
    try:
        parser = ElementTree.XMLParser(target=_NoDoctype())  # noqa: S314 - the builder refuses what is dangerous
        parser.feed(answer.body)
        return parser.close()
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        wrong = f"{answer.address.host} answers with something that is no list of a collection"
        raise Trouble(wrong, "Check the address") from error
