/*
 * Runs before anything is painted, so it must not be deferred: finds the remembered palette (or the first that suits the system), gives
 * it to <html> at once and to <body> the moment it exists, and from then on keeps <html> and the browser's own colour in step with <body>.
 * So a page opened at night is never white, not for one frame. What the page offers stands in data attributes of the script's element;
 * a page exported without MkDocs has none, and keeps its palette under another name.
 *
 * And it waits for the three typefaces of every page, for a moment and out of sight: a face that comes after the first line breaks lines
 * anew under the reader's eyes, and one that comes when the others are late looks like a misprint. All come in time, or none is shown
 * before the next page; on a slow line, where words come first, none is asked for.
 */
(function (root, told) {
  "use strict";
  var grounds = { paper: "#faf6ec", dusk: "#1b1e24", night: "#000000", "default": "#faf6ec", slate: "#1b1e24" };
  var palettes = [], scheme, body;

  (function (line, at) {
    function say(how) { root.setAttribute("data-rl-faces", how); }
    function show(how) { if (root.getAttribute("data-rl-faces") === "awaited") { say(how); } }
    if (line.saveData || /[23]g/.test(line.effectiveType)) { say("later"); return; }
    say("awaited");
    Promise.all([["regular", "normal", "400"], ["italic", "italic", "400"], ["semibold", "normal", "600"]].map(function (kind) {
      var file = new URL("fonts/literata-" + kind[0] + ".woff2", at);
      var face = new FontFace("Rigleaf Text Now", 'url("' + file + '")', { style: kind[1], weight: kind[2] });
      document.fonts.add(face);
      return face.load();
    })).then(function () { show("here"); }, function () { show("later"); });
    setTimeout(show, 1200, "later");
  })(navigator.connection || {}, document.currentScript.src);

  if (!told.scope) {
    try { scheme = localStorage.getItem(".rl-scheme"); } catch (e) { /* private mode */ }
    root.setAttribute("data-rl-scheme", scheme || (matchMedia("(prefers-color-scheme: dark)").matches ? "dusk" : "paper"));
    return;
  }
  try {
    palettes = JSON.parse(told.palettes);
    var path = new URL(told.scope, location).pathname;
    root.setAttribute("data-rl-units", localStorage.getItem(path + ".rl-units") || "both");
    var kept = JSON.parse(localStorage.getItem(path + ".__palette"));
    palettes.forEach(function (p) { if (kept && kept.color && p[0] === kept.color.scheme) { scheme = p[0]; } });
  } catch (e) { /* private mode, or something else was kept: the first that suits the system */ }
  if (!scheme) {
    scheme = (palettes.filter(function (p) { return matchMedia(p[1]).matches; })[0] || palettes[0] || ["paper"])[0];
  }
  function mirror() {
    var now = (body && body.getAttribute("data-md-color-scheme")) || scheme;
    root.setAttribute("data-rl-scheme", now);
    document.getElementById("rl-theme-color").content = grounds[now] || grounds.paper;
  }
  mirror();
  new MutationObserver(function (_, watch) {
    if (!document.body) { return; }
    watch.disconnect();
    body = document.body;
    if (palettes.length) { body.setAttribute("data-md-color-scheme", scheme); }
    new MutationObserver(mirror).observe(body, { attributes: true, attributeFilter: ["data-md-color-scheme"] });
    mirror();
  }).observe(root, { childList: true });
})(document.documentElement, document.currentScript.dataset);
