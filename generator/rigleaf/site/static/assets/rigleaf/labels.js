/*
 * Lets a sheet of labels be used whose first ones are gone: moves all labels on by as many places, over as many sheets as
 * it takes. Without script they begin at the first place.
 */
(function () {
  "use strict";
  Array.prototype.forEach.call(document.querySelectorAll("[data-rl-labels]"), function (box) {
    var each = Number(box.getAttribute("data-rl-labels"));
    var tools = document.querySelector(".rl-label-tools"), input = tools.querySelector("input");
    var labels = Array.prototype.slice.call(box.querySelectorAll(".rl-label"));
    var first = box.querySelector(".rl-label-sheet");
    function lay() {
      var gone = Math.min(each - 1, Math.max(0, Math.floor(Number(input.value)) || 0));
      var sheet, place = 0;
      box.textContent = "";
      function next(node) {
        if (place % each === 0) {
          sheet = first.cloneNode(false);
          sheet.setAttribute("aria-label", rlSay("Labels, sheet {n}", { n: place / each + 1 }));
          box.appendChild(sheet);
        }
        sheet.appendChild(node);
        place += 1;
      }
      for (var i = 0; i < gone; i += 1) {
        var empty = document.createElement("li");
        empty.className = "rl-label-gone";
        empty.setAttribute("aria-hidden", "true");
        next(empty);
      }
      labels.forEach(next);
    }
    input.addEventListener("input", lay);
    tools.hidden = false;
    lay(); /* a browser may have kept a number */
  });
})();
