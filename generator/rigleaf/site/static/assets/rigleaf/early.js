/*
 * Runs before anything is painted, so it must not be deferred: finds the remembered palette (or the first that suits the system), gives
 * it to <html> at once and to <body> the moment it exists, and from then on keeps <html> and the browser's own colour in step with <body>.
 * So a page opened at night is never white, not for one frame. What the page offers stands in data attributes of the script's element;
 * a page exported without MkDocs has none, and keeps its palette under another name.
 *
 * And asks for the two faces that every page shows, since one that is not there when the first line is painted is not shown before the
 * next page; but not on a slow line, where words come first, nor in a folder, which may not preload.
 */
(function (root, told) {
  "use strict";
  var grounds = { paper: "#faf6ec", dusk: "#1b1e24", night: "#000000", "default": "#faf6ec", slate: "#1b1e24" };
  var palettes = [], scheme, body;

  if (location.protocol === "file:") { root.setAttribute("data-rl-folder", ""); }
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

  var line = navigator.connection || {};
  if (location.protocol === "file:" || line.saveData || /[23]g/.test(line.effectiveType)) { return; }
  JSON.parse(told.faces || "[]").forEach(function (face) {
    var link = document.createElement("link");
    link.rel = "preload";
    link.as = "font";
    link.crossOrigin = "";
    link.href = face;
    document.head.appendChild(link);
  });
})(document.documentElement, document.currentScript.dataset);
