/*
 * Keeps the ticks of a checklist on this device, for each page its own, and says when the last one was set. Nothing is sent
 * anywhere. Without script the boxes can be ticked, but are empty again when the page is left.
 */
(function () {
  "use strict";
  var scope = typeof __md_scope === "undefined" ? "" : __md_scope.pathname;
  Array.prototype.forEach.call(document.querySelectorAll("[data-rl-ticks]"), function (lists) {
    if (lists.getAttribute("data-rl-ticks")) { return; }
    lists.setAttribute("data-rl-ticks", "kept");
    var key = scope + ".rl-ticks-" + location.pathname;
    var boxes = Array.prototype.slice.call(lists.querySelectorAll("input[type=checkbox]"));
    var tools = lists.querySelector(".rl-tick-tools"), told = tools.querySelector("output");
    var kept = {}, last = 0;

    /* A step goes by its list and its name, so that a new step above it does not move its tick; a part by its id. */
    function name(box) {
      return box.getAttribute("data-rl-tick") || box.closest("ol").getAttribute("aria-label") + "/" + box.closest("li").querySelector("b").textContent;
    }
    function read() {
      try {
        var found = JSON.parse(localStorage.getItem(key)) || {};
        kept = found.ticks && typeof found.ticks === "object" ? found.ticks : {};
        last = Number(found.last) || 0;
      } catch (e) { kept = {}; }
    }
    function write() {
      try {
        if (Object.keys(kept).length) {
          localStorage.setItem(key, JSON.stringify({ ticks: kept, last: last }));
        } else {
          localStorage.removeItem(key);
        }
      } catch (e) { /* private mode: ticks last for this page */ }
    }
    function tell() {
      var count = 0;
      boxes.forEach(function (box) { box.checked = kept[name(box)] === 1; count += box.checked ? 1 : 0; });
      var when = count && last ? rlSay(", the last one on {time}", { time: new Date(last).toLocaleString(window.rlWords ? rlSay("en-GB") : [], { dateStyle: "long", timeStyle: "short" }) }) : "";
      told.textContent = rlSay("{n} of {all} ticked", { n: count, all: boxes.length }) + when + ".";
      tools.querySelector("button").disabled = !count;
      lists.dispatchEvent(new CustomEvent("rl-ticked"));
    }
    lists.addEventListener("change", function (event) {
      read(); /* the same page may be open twice */
      if (event.target.checked) { kept[name(event.target)] = 1; } else { delete kept[name(event.target)]; }
      last = Date.now();
      write();
      tell();
    });
    tools.querySelector("button").addEventListener("click", function () {
      kept = {};
      write();
      tell();
    });
    addEventListener("storage", function (event) { if (event.key === key) { read(); tell(); } });
    tools.hidden = false;
    read();
    tell();
  });
})();
