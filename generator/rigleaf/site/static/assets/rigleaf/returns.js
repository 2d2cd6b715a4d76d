/*
 * Says what went out and is not back yet. As soon as something is ticked as come in, whatever is ticked as gone out and has
 * not come in is missing; where nobody ticked what went out, on this device at least, all of it did.
 */
(function () {
  "use strict";
  var NAMED = 8; /* more are only counted: one cannot listen to forty names at each tick, and the lines say it too */
  Array.prototype.forEach.call(document.querySelectorAll("[data-rl-hand-over]"), function (sheet) {
    var told = sheet.querySelector(".rl-still");
    var lines = Array.prototype.map.call(sheet.querySelectorAll("[data-rl-line]"), function (row) {
      var boxes = row.querySelectorAll("input[type=checkbox]");
      return { row: row, name: row.getAttribute("data-rl-line"), out: boxes[0], back: boxes[1] };
    });
    function names(some) { return some.map(function (line) { return line.name; }).join("; "); }
    function say() {
      var out = lines.filter(function (line) { return line.out.checked; });
      var back = lines.filter(function (line) { return line.back.checked; });
      var gone = out.length ? out : lines;
      var missing = back.length ? gone.filter(function (line) { return !line.back.checked; }) : [];
      var unsaid = out.length ? back.filter(function (line) { return !line.out.checked; }) : [];
      var words = "";
      lines.forEach(function (line) { line.row.toggleAttribute("data-rl-missing", missing.indexOf(line) >= 0); });
      if (missing.length > NAMED) {
        words = rlSay("Still missing: {n} of {all} lines; each of them says so.", { n: missing.length, all: gone.length });
      } else if (missing.length) {
        words = rlSay("Still missing: {names}.", { names: names(missing) });
      } else if (back.length) {
        words = rlSay("All that went out is back: {n} lines.", { n: gone.length });
      } else if (out.length) {
        words = rlSay(out.length === lines.length ? "All {all} lines are out." : "Out: {n} of {all} lines.", { n: out.length, all: lines.length });
      }
      if (unsaid.length) { words += rlSay(" Back, but not ticked as gone out: {names}.", { names: names(unsaid.slice(0, NAMED)) + (unsaid.length > NAMED ? rlSay(" and others") : "") }); }
      if (told.textContent !== words) { told.textContent = words; }
    }
    sheet.addEventListener("rl-ticked", say); /* ticks.js: set by hand, remembered, cleared or set in another window */
  });
})();
