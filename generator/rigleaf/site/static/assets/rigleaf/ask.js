/*
 * Answers in place: a link to a method or a term opens it beside the figure or the word. Without script, or where anything is amiss, it stays a link.
 * The answers of a chapter come in one small file, as a script, since a page opened from a folder may not fetch.
 */
(function () {
  "use strict";
  var home = document.currentScript.src.replace(/assets\/rigleaf\/[^/]*$/, "");
  var known = {}, waiting = {};
  if (!("popover" in HTMLElement.prototype)) { return; }

  window.rigleafHow = function (chapter, answers) { known[chapter] = answers; };

  function load(chapter, then, fail) {
    if (known[chapter]) { then(); return; }
    var script = waiting[chapter] || document.createElement("script");
    script.addEventListener("load", then);
    script.addEventListener("error", fail);
    if (!waiting[chapter]) {
      /* A page that comes back out of the browser's memory asks anew for what failed. */
      ["load", "error"].forEach(function (end) { script.addEventListener(end, function () { delete waiting[chapter]; }); });
      waiting[chapter] = script;
      script.src = home + "assets/how/" + chapter + ".js";
      document.head.append(script);
    }
  }

  var box = document.createElement("div");
  box.className = "rl-asked";
  box.popover = "auto";
  box.tabIndex = -1;
  box.setAttribute("role", "dialog");

  function show(link, html) {
    box.innerHTML = html; /* written by the generator from its own register, never from a guide's words */
    var whole = document.createElement("a");
    whole.href = link.href;
    whole.textContent = rlSay(link.classList.contains("rl-term") ? "All terms" : "What it is held against");
    var foot = document.createElement("p");
    foot.append(whole);
    box.append(foot);
    box.setAttribute("aria-label", link.getAttribute("aria-label") || link.textContent);
    (link.closest("article") || document.body).append(box);
    var before = document.querySelector("[data-rl-asking]");
    if (before) { before.removeAttribute("data-rl-asking"); }
    link.setAttribute("data-rl-asking", ""); /* the style sheet hangs the box on it */
    box.showPopover();
    box.focus();
  }

  function parts(link) { return /(?:method\/)?([\w-]+)(?:\/index)?(?:\.html|\/)?#(.+)$/.exec(link.href); }
  document.querySelectorAll("a.rl-how, a.rl-term").forEach(function (link) {
    if (parts(link)) { link.setAttribute("aria-haspopup", "dialog"); }
  });

  document.addEventListener("click", function (event) {
    var link = event.target.closest("a.rl-how, a.rl-term"), found = link && parts(link);
    if (!found || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) { return; }
    event.preventDefault();
    function leave() { location.href = link.href; }
    load(found[1], function () {
      var html = known[found[1]] && known[found[1]][decodeURIComponent(found[2])];
      if (html) { show(link, html); } else { leave(); }
    }, leave);
  });

  box.addEventListener("toggle", function (event) {
    var link = document.querySelector("[data-rl-asking]");
    if (event.newState === "closed" && link && box.contains(document.activeElement)) { link.focus(); }
  });
})();
