// Reads iCalendar files with ical.js and prints what it understood, in the words of read_feed.c.
// It knows no time zone but those in the file.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const found = createRequire(import.meta.url).resolve("ical.js");
const { default: ICAL } = await import(pathToFileURL(found).href);

const moment = (property) => {
  if (!property) return "-";
  const time = property.getFirstValue();
  if (time.isDate) return time.toString();
  if (time.zone === ICAL.Timezone.localTimezone) return "floating";
  return new Date(time.toUnixTime() * 1000).toISOString().replace(".000Z", "Z");
};

for (const name of process.argv.slice(2)) {
  const calendar = new ICAL.Component(ICAL.parse(readFileSync(name, "utf8")));
  console.log("errors", name, 0);
  for (const event of calendar.getAllSubcomponents("vevent")) {
    const alarms = event.getAllSubcomponents("valarm");
    console.log(
      "event",
      name,
      event.getFirstPropertyValue("uid"),
      moment(event.getFirstProperty("dtstart")),
      moment(event.getFirstProperty("dtend")),
      event.getFirstPropertyValue("sequence"),
      alarms.map((a) => a.getFirstPropertyValue("trigger").toSeconds()).join() || "-",
    );
  }
}
