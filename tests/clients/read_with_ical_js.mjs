// Reads calendars with ical.js, one after the other, in one process.
//
// Usage: node read_with_ical_js.mjs PATH/TO/ical.js; then on standard input, for each calendar, its length (4 octets,
// the highest first) and its octets. Answers one line of JSON: {"complaints": [...], "seen": [...]}.

import { pathToFileURL } from "node:url";

const { default: ICAL } = await import(pathToFileURL(process.argv[2]));
ICAL.design.strict = true;

// Text that is not UTF-8 is refused, and a byte order mark is not swallowed.
const utf8 = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });
const MOMENTS = ["dtstart", "dtend", "due", "dtstamp", "created", "last-modified", "completed"];

// What calendar software would show of an event or a task.
function seen(component) {
  const text = (name) => component.getFirstPropertyValue(name) ?? "";
  const moment = (name) => component.getFirstPropertyValue(name)?.toICALString() ?? "";
  const trigger = component.getFirstSubcomponent("valarm")?.getFirstPropertyValue("trigger");
  return {
    kind: component.name.toUpperCase(),
    uid: text("uid"),
    start: moment("dtstart"),
    end: moment("dtend") || moment("due"),
    summary: text("summary"),
    description: text("description"),
    location: text("location"),
    categories: component.getAllProperties("categories").flatMap((property) => property.getValues()),
    sequence: component.getFirstPropertyValue("sequence") ?? 0,
    status: text("status"),
    alarm: trigger?.toSeconds() ?? null,
  };
}

function* complaints(component) {
  if (!component.getFirstPropertyValue("uid")) yield "no UID";
  for (const name of MOMENTS) {
    const property = component.getFirstProperty(name);
    const value = property?.getFirstValue();
    if (property && !(value instanceof ICAL.Time)) yield `${name} is no time`;
    else if (property?.getParameter("tzid") && !component.getTimeZoneByID(property.getParameter("tzid")))
      yield `the zone of ${name} is nowhere told`;
    // A day that does not exist is read as another one.
    else if (property && property.toICALString().split(":").pop() !== value.toICALString()) yield `${name} moves`;
  }
  const start = component.getFirstPropertyValue("dtstart");
  const end = component.getFirstPropertyValue("dtend");
  if (start && end && start.isDate !== end.isDate) yield "start and end are not of one type";
  else if (start && end && start.compare(end) >= 0) yield "the end is not after the start";
  for (const property of component.getAllProperties("rrule")) property.getFirstValue();
}

function read(octets) {
  const text = utf8.decode(octets);
  const calendar = new ICAL.Component(ICAL.parse(text));
  const components = ["vevent", "vtodo"].flatMap((name) => calendar.getAllSubcomponents(name));
  const found = components.flatMap((component) => [...complaints(component)]);
  const unfolded = (lines) => lines.replace(/\r\n /g, "").replace(/(\r\n)?$/, "");
  if (unfolded(calendar.toString()) !== unfolded(text)) found.push("it is not written as it was read");
  return { complaints: found, seen: components.map(seen) };
}

let waiting = Buffer.alloc(0);
for await (const octets of process.stdin) {
  waiting = Buffer.concat([waiting, octets]);
  while (waiting.length >= 4 && waiting.length >= 4 + waiting.readUInt32BE()) {
    const end = 4 + waiting.readUInt32BE();
    let answer;
    try {
      answer = read(waiting.subarray(4, end));
    } catch (error) {
      answer = { complaints: [String(error)], seen: [] };
    }
    process.stdout.write(JSON.stringify(answer) + "\n");
    waiting = waiting.subarray(end);
  }
}
