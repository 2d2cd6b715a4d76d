/*
 * Tells what can be had of a rig on the reader's own day, by the calendar of the club's place. What is told on which day was
 * worked out when the guide was built and stands in data-rl-phases; here one of these is picked, and nothing is worked out.
 * Where the day cannot be known, or comes before that of the build, the page stays as it was built.
 */
(function () {
  "use strict";
  var DAY = 864e5;

  function each(selector, act) {
    Array.prototype.forEach.call(document.querySelectorAll(selector), act);
  }

  function time(day) { return Date.parse(day + "T00:00:00Z"); }
  function tell() {
    var days = {};
    function dayFor(node) {
      var zone = node.getAttribute("data-rl-zone");
      if (!(zone in days)) { days[zone] = rigleafDay(zone); }
      return days[zone];
    }
    each("[data-rl-phases]", function (node) {
      var day = dayFor(node);
      var phase = JSON.parse(node.getAttribute("data-rl-phases")).find(function (one) {
        return one[0] <= day && (!one[1] || day <= one[1]);
      });
      if (!phase) { return; }
      var word = node.querySelector("[data-state]");
      word.setAttribute("data-state", phase[2]);
      word.querySelector("use").setAttribute("href", "#rl-state-" + phase[2].replace(" ", "-"));
      word.querySelector("span").textContent = rlSay(phase[2]);
      node.querySelector(".rl-have-rest").textContent = phase[3];
      node.setAttribute("data-rl-day", day);
    });
    each(".rl-as-of", function (node) {
      var day = dayFor(node), on = node.getAttribute("data-rl-on");
      node.firstElementChild.hidden = day >= on;
      node.lastElementChild.hidden = day < on;
      node.setAttribute("data-rl-told", "");
      if (day >= on) { node.setAttribute("data-rl-day", day); }
    });
    /* Lines of today stand below an element that knows the zone and the day of the build. */
    each("[data-rl-days]", function (line) {
      var strips = line.closest("[data-rl-zone]"), day = dayFor(strips), all = Number(line.getAttribute("data-rl-days"));
      if (day < strips.getAttribute("data-rl-on")) { return; }
      var since = (time(day) - time(line.getAttribute("data-rl-first"))) / DAY;
      var outside = since < 0 || since >= all;
      line.setAttribute("visibility", outside ? "hidden" : "visible");
      if (!outside) { line.setAttribute("transform", "translate(" + (line.ownerSVGElement.viewBox.baseVal.width * (since + 0.5)) / all + " 0)"); }
    });
  }

  /* A page may lie open, or be brought back, past midnight. */
  document.addEventListener("visibilitychange", function () { if (!document.hidden) { tell(); } });
  addEventListener("pageshow", tell);
  tell();
})();
