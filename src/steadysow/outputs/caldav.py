"""CalDAV collections: list what one holds, and make a new one.

Takes a server and an address, and returns the ETags of the resources there (WebDAV RFC 4918, CalDAV RFC 4791).  A
server's XML is not trusted: a document that declares entities is refused.
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
    """What a collection holds.

    Attributes
    ----------
    address
        The address of the collection, after all redirects.
    etags
        The ETag of each resource, by its name.
    """

    address: Address
    etags: Mapping[str, str]


def list_collection(server: RemoteServer, collection: Address) -> Listing | None:
    """List what a collection holds; ``None`` if it does not exist.

    Raises
    ------
    Trouble
        If the server does not speak CalDAV, or the address is not that of a calendar.
    """
    answer = server.ask(collection, "PROPFIND", _PROPFIND, {"Depth": "1", "Content-Type": _XML})
    if answer.status in (404, 410):
        return None
    if answer.status >= 300:
        raise refused(answer, "PROPFIND", server.user)
    if answer.status != 207:
        wrong = f"{collection.host} does not speak CalDAV at this address"
        raise Trouble(wrong, "Check the address, or add --file to put the calendar there as one file")
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
        wrong = f"{collection} is not a calendar but a folder of calendars"
        raise Trouble(wrong, "Give the address of one calendar in it; --make-collection makes a new one")
    address = answer.address
    return Listing(address=replace(address, path=f"{address.path.removesuffix('/')}/"), etags=etags)


def _quoted(etag: str) -> str:
    """Give an ETag as headers have it: some servers leave out the quotation marks in lists."""
    return etag if not etag or etag.endswith('"') else f'"{etag}"'


def make_collection(server: RemoteServer, collection: Address, name: str) -> None:
    """Make a collection: a calendar, or a folder if the server only knows WebDAV.

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
    # If the collection exists by now, the first of two equal requests may have made it.
    if answer.status >= 300 and list_collection(server, collection) is None:
        raise refused(answer, method, server.user)


class _NoDoctype(ElementTree.TreeBuilder):
    """Builds a tree, and refuses declarations with which a few bytes can grow into gigabytes."""

    def doctype(self, name: str, pubid: str, system: str) -> None:
        """Refuse the document before any of its entities is read."""
        raise ValueError(f"the document declares a type: {name}, {pubid}, {system}")


def _read_xml(answer: Response) -> ElementTree.Element:
    try:
        parser = ElementTree.XMLParser(target=_NoDoctype())  # noqa: S314 - the builder refuses what is dangerous
        parser.feed(answer.body)
        return parser.close()
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        wrong = f"{answer.address.host} sends something else than the list of a calendar"
        raise Trouble(wrong, "Check the address") from error
