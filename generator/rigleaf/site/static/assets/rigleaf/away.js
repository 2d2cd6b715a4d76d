/* The page "Without signal": says what this device keeps of the guide, and what can be done about it. */
addEventListener("DOMContentLoaded", function () {
  "use strict";
  var copy = window.rlFieldCopy, box = document.querySelector("[data-rl-away]"), asked = new URLSearchParams(location.search), state;
  function part(name) { return box.querySelector('[data-rl-part="' + name + '"]'); }
  function decimals(number, digits) { return number.toLocaleString(rlSay("en-GB"), { useGrouping: false, minimumFractionDigits: digits, maximumFractionDigits: digits }); }
  function size(bytes) { return decimals(bytes / 1e6, bytes < 1e7 ? 1 : 0) + " MB"; }
  function count(number, one, many) { return rlSay(number === 1 ? one : many, { n: number }); }
  /* Of several finished sentences the page shows the one that holds. */
  function choose(name, which) { part(name).querySelectorAll("[data-rl-if]").forEach(function (one) { one.hidden = one.getAttribute("data-rl-if") !== which; }); }
  function say(name, text) { part(name).textContent = text; part(name).hidden = !text; }

  if (asked.get("missing") !== null) {
    var missing = document.querySelector("[data-rl-missing]"), link = missing.querySelector("a");
    link.textContent = asked.get("missing") || "index.html";
    link.href = new URL("../" + encodeURI(asked.get("missing")).replace(/[?#]/g, encodeURIComponent), location.href.split(/[?#]/)[0]);
    if (link.href.indexOf(new URL("../", location.href.split(/[?#]/)[0]).href) === 0) { missing.hidden = false; }
  }
  document.querySelectorAll("[data-rl-page]").forEach(function (row) { row.classList.toggle("rl-away-wanted", row.id === location.hash.slice(1)); });
  if (!copy) { return; }

  function tell() {
    var nothing = !state.version;
    document.querySelector("[data-rl-away-plain]").hidden = true;
    box.hidden = false;
    say("what", state.removed || nothing ? rlSay(state.saving ? "Nothing is stored: your browser asks to save data. Say what you want." : state.busy ? "Storing begins." : "Nothing of this guide is stored on this device.") :
      rlSay("Stored: {pages} of {all}, {size}", { pages: count(state.pages.length, "{n} page", "{n} pages"), all: state.total, size: size(state.bytes) }) + (state.left ? "; " + count(state.left, "{n} file", "{n} files") + rlSay(state.busy ? " to come." : " missing.") : rlSay(state.whole ? ": the whole guide. It works without signal." : ". They work without signal.")));
    say("when", state.since && !state.removed && !state.left ? rlSay("Complete since {time}, version {version}.", { time: new Date(state.since).toLocaleString(window.rlWords ? rlSay("en-GB") : [], { dateStyle: "long", timeStyle: "short" }), version: state.version.slice(0, 8) }) : "");
    choose("trouble", state.busy ? "" : state.trouble);
    part("whole").hidden = !nothing && state.whole;
    part("whole").textContent = rlSay("Keep the whole guide") + (state.all ? " (" + size(state.all) + ")" : "");
    part("refresh").hidden = part("remove").hidden = nothing;
    part("refresh").disabled = state.busy;
    var stored = new Set((state.pages || []).map(function (page) { return page[0]; }));
    document.querySelectorAll("[data-rl-page]").forEach(function (row) {
      var page = row.getAttribute("data-rl-page"), kept = (state.kept || []).indexOf(page) >= 0, press = row.querySelector("button");
      row.querySelector("output").textContent = rlSay(stored.has(page) ? (kept || state.whole ? "stored, with all that goes along" : "its page is stored, as you read it") : state.busy ? "to come" : "not stored");
      press.hidden = state.whole && !nothing;
      press.textContent = rlSay(kept ? "Let it go" : "Keep this rig for the field");
      press.setAttribute("aria-label", press.textContent + ": " + row.querySelector("a").textContent);
      press.onclick = function () { copy.send({ do: "keep", page: page, on: !kept }); };
    });
    var list = part("pages");
    list.textContent = "";
    (state.pages || []).forEach(function (page) {
      var item = document.createElement("li"), link = document.createElement("a");
      link.href = new URL(page[0].split("/").map(encodeURIComponent).join("/"), copy.home).href;
      link.textContent = page[1] || page[0];
      item.append(link);
      list.append(item);
    });
    list.parentNode.hidden = !list.firstChild;
    if (navigator.storage && navigator.storage.persisted) {
      navigator.storage.persisted().then(function (safe) {
        choose("lasting", nothing ? "" : safe ? "safe" : "unsafe");
        part("persist").hidden = nothing || safe;
      });
    }
  }
  navigator.serviceWorker.addEventListener("message", function (event) {
    if (event.data && event.data.fieldCopy) { state = event.data.fieldCopy; tell(); }
  });
  ["whole", "refresh", "remove"].forEach(function (name) { part(name).onclick = function () { copy.send({ do: name }); }; });
  part("persist").onclick = function () {
    navigator.storage.persist().then(function (safe) {
      tell();
      if (!safe) { setTimeout(choose, 300, "lasting", "refused"); }
    });
  };
  state = { removed: true };
  if (copy.refused()) { tell(); } else { copy.send({ do: "tell" }).catch(function () { document.querySelector("[data-rl-away-plain]").hidden = false; }); }
});
