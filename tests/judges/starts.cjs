// Prints the start of each event of a calendar file, in UTC, as ical.js understands its zones: a JSON list.
const ICAL = require("ical.js").default ?? require("ical.js");
const fs = require("fs");

const root = new ICAL.Component(ICAL.parse(fs.readFileSync(process.argv[2], "utf8")));
for (const zone of root.getAllSubcomponents("vtimezone")) ICAL.TimezoneService.register(zone);
const starts = root.getAllSubcomponents("vevent").map((part) => {
  const start = new ICAL.Event(part).startDate;
  return start.isDate ? start.toString() : start.toJSDate().toISOString().replace(".000", "");
});
console.log(JSON.stringify(starts.sort()));
