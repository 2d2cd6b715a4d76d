/*
 * The day, such as "2026-11-24", that it now is in a time zone: that of the club, wherever the reader is. "" where the browser
 * does not know the zone.
 */
function rigleafDay(zone) {
  "use strict";
  try {
    const form = { timeZone: zone, calendar: "gregory", numberingSystem: "latn", year: "numeric", month: "2-digit", day: "2-digit" };
    const found = {};
    new Intl.DateTimeFormat("en", form).formatToParts(new Date()).forEach(part => { found[part.type] = part.value; });
    return found.year.padStart(4, "0") + "-" + found.month + "-" + found.day;
  } catch (e) { return ""; }
}
