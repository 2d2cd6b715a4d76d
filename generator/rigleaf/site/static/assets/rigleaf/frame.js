/*
 * Turns the frame of a plate: under each plate that has a frame to turn it sets a slider for the position angle. Without
 * script the frame stands at its best angle, as the caption says.
 */
(function () {
  "use strict";
  Array.prototype.forEach.call(document.querySelectorAll("svg [data-angle]"), function (group) {
    var svg = group.ownerSVGElement, told = svg.querySelector("[data-turned]");
    if (!told || svg.getAttribute("data-rl-turns")) { return; }
    svg.setAttribute("data-rl-turns", "");
    var best = group.getAttribute("data-angle"), middle = group.getAttribute("data-middle");
    var label = document.createElement("label"), slider = document.createElement("input");
    label.className = "rl-turn";
    label.textContent = rlSay("Turn the frame ");
    slider.type = "range";
    slider.min = 0;
    slider.max = 359;
    slider.step = 1;
    slider.value = best;
    function turn() {
      var words = slider.value + "°" + (slider.value === best ? rlSay(" (best)") : "");
      group.setAttribute("transform", "rotate(" + -slider.value + " " + middle + ")");
      told.textContent = words;
      slider.setAttribute("aria-valuetext", words);
    }
    slider.addEventListener("input", turn);
    label.appendChild(slider);
    svg.parentNode.insertBefore(label, svg.nextSibling);
    turn();
  });
})();
