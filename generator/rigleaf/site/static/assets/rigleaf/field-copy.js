/*
 * Has the guide kept on this device by the worker at its root (field-copy.js there), once the page is up and its own requests are
 * done; and says so where a newer guide has come while a page was open. From a folder or over plain http it does nothing.
 */
(function () {
  "use strict";
  var workers = navigator.serviceWorker, home = new URL("../../", document.currentScript.src);
  var flag = home.pathname + ".rl-field-copy", script = new URL("field-copy.js", home).href, told;
  if (!workers || !isSecureContext || location.protocol.slice(0, 4) !== "http") { return; }

  function refused() { try { return localStorage.getItem(flag) === "no"; } catch (e) { return false; } }
  function send(message) {
    message.saving = !!(navigator.connection && navigator.connection.saveData);
    var one = workers.controller;
    if (one && one.scriptURL === script) { one.postMessage(message); return Promise.resolve(); }
    return workers.register(script, { scope: home.pathname }).then(function (found) {
      (found.active || found.waiting || found.installing).postMessage(message);
    });
  }
  /* For the page about the copy. */
  window.rlFieldCopy = {
    home: home.href,
    refused: refused,
    send: function (message) {
      try {
        if (message.do === "remove") { localStorage.setItem(flag, "no"); } else if (message.do !== "tell") { localStorage.removeItem(flag); }
      } catch (e) { /* the choice lasts for this visit */ }
      return send(message);
    }
  };

  function here(anew) { if (!refused()) { send({ do: "here", anew: anew }).catch(function () { /* storage is switched off */ }); } }
  function button(words, act) {
    var one = document.createElement("button");
    one.type = "button";
    one.textContent = words;
    one.addEventListener("click", act);
    return one;
  }
  workers.addEventListener("message", function (event) {
    var copy = event.data && event.data.fieldCopy;
    if (!copy || !copy.newer || told) { return; }
    told = document.createElement("div");
    told.className = "rl-newer";
    told.setAttribute("role", "status");
    told.setAttribute("data-rl-noprint", "");
    document.body.appendChild(told);
    told.append(rlSay("A newer guide is here. "), button(rlSay("Load it"), function () { location.reload(); }), " ", button(rlSay("Later"), function () { told.remove(); }));
  });
  addEventListener("load", function () { setTimeout(here, 1000); });
  addEventListener("online", function () { here(true); });
})();
