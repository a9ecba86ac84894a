// Prints the events of calendar files as ical.js reads them: a JSON list of [uid, start, end, title, place, status],
// times in UTC. Each file is read with the zones that it defines itself.
const ICAL = require("ical.js").default ?? require("ical.js");
const fs = require("fs");

const found = [];
const moment = (time) => (time.isDate ? time.toString() : time.toJSDate().toISOString().replace(".000", ""));
for (const path of process.argv.slice(2)) {
  const root = new ICAL.Component(ICAL.parse(fs.readFileSync(path, "utf8")));
  ICAL.TimezoneService.reset();
  for (const zone of root.getAllSubcomponents("vtimezone")) ICAL.TimezoneService.register(zone);
  for (const part of root.getAllSubcomponents("vevent")) {
    const event = new ICAL.Event(part);
    const place = event.location ?? "";
    found.push([event.uid, moment(event.startDate), moment(event.endDate), event.summary, place,
                part.getFirstPropertyValue("status")]);
  }
}
console.log(JSON.stringify(found));
