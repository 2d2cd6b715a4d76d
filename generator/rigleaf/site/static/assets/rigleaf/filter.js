/*
 * Filters the rows of a table. A form with data-rl-rows names the table; each of its fields has in data-rl-key the data
 * attribute of the rows that it looks into. Without script the form stays hidden and the table whole.
 */
(function () {
  "use strict";
  Array.prototype.forEach.call(document.querySelectorAll("form[data-rl-rows]"), function (form) {
    var table = document.getElementById(form.getAttribute("data-rl-rows"));
    if (!table) { return; }
    var rows = table.tBodies[0].rows, fields = form.querySelectorAll("[data-rl-key]"), told = form.querySelector("output");
    function filter() {
      var shown = 0;
      Array.prototype.forEach.call(rows, function (row) {
        var fits = Array.prototype.every.call(fields, function (field) {
          var text = (row.getAttribute("data-" + field.getAttribute("data-rl-key")) || "").toLowerCase();
          return text.indexOf(field.value.toLowerCase()) >= 0;
        });
        row.hidden = !fits;
        shown += fits ? 1 : 0;
      });
      told.textContent = rlSay("{n} of {all}", { n: shown, all: rows.length });
    }
    form.addEventListener("input", filter);
    form.addEventListener("submit", function (event) { event.preventDefault(); });
    form.hidden = false;
    filter();
  });
})();
