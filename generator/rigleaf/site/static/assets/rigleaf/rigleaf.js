/*
 * Small comforts. The page is whole without them.
 *   - rlSay() gives a text in the page's language, for every script: words.js has those that are not English;
 *   - a reader may keep one unit system and hide the other;
 *   - folds open for printing and close again;
 *   - the header's menu and search buttons can be reached and pressed from the keyboard;
 *   - ticked lists get the names they lack;
 *   - the browser's own tooltips (which no style can darken) give way to names that assistive software reads;
 *   - letters and lines for chats are copied by a button;
 *   - pages exported without MkDocs remember their palette.
 */
/* The day, such as "2026-11-24", that it now is in a time zone: that of the club, wherever the reader is; "" where it is unknown. */
function rigleafDay(zone) {
  "use strict";
  try {
    const form = { timeZone: zone, calendar: "gregory", numberingSystem: "latn", year: "numeric", month: "2-digit", day: "2-digit" };
    const found = {};
    new Intl.DateTimeFormat("en", form).formatToParts(new Date()).forEach(part => { found[part.type] = part.value; });
    return found.year.padStart(4, "0") + "-" + found.month + "-" + found.day;
  } catch (e) { return ""; }
}

function rlSay(text, values) {
  "use strict";
  var said = (window.rlWords && rlWords[text]) || text;
  return values ? said.replace(/\{(\w+)\}/g, function (place, name) { return name in values ? values[name] : place; }) : said;
}
(function () {
  "use strict";
  var root = document.documentElement;
  var scope = typeof __md_scope === "undefined" ? "" : __md_scope.pathname;

  function recall(name) {
    try { return localStorage.getItem(scope + ".rl-" + name); } catch (e) { return null; }
  }
  function remember(name, value) {
    try { localStorage.setItem(scope + ".rl-" + name, value); } catch (e) { /* private mode: the choice lasts for this page */ }
  }
  function each(selector, act) {
    Array.prototype.forEach.call(document.querySelectorAll(selector), act);
  }

  /* A group of radio buttons that writes its choice to an attribute of <html>. */
  function choice(name, attribute, fallback) {
    var kept = recall(name) || root.getAttribute(attribute) || fallback;
    each('input[name="rl-' + name + '"]', function (input) {
      if (input.value === kept) { input.checked = true; root.setAttribute(attribute, kept); }
      input.addEventListener("change", function () {
        root.setAttribute(attribute, input.value);
        remember(name, input.value);
        each('input[name="rl-' + name + '"]', function (other) { other.checked = other.value === input.value; });
      });
    });
  }
  each(".rl-choice[hidden]", function (group) { group.hidden = false; });
  choice("units", "data-rl-units", "both");
  choice("scheme", "data-rl-scheme", "");
  var units = recall("units");
  if (units) { root.setAttribute("data-rl-units", units); }

  /* The theme opens every fold before it prints: what is long is printed only where the reader has opened it. */
  root.setAttribute("data-rl-script", "");
  document.addEventListener("click", function (event) {
    var summary = event.target.closest("details.rl-long > summary");
    if (summary) { summary.parentNode.toggleAttribute("data-rl-opened", !summary.parentNode.open); }
  });

  /* A link into a fold opens it, in browsers that do not do so by themselves, too. */
  function reveal() {
    var aim = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    var fold = aim && aim.parentNode.closest("details");
    if (!fold) { return; }
    fold.open = true;
    fold.setAttribute("data-rl-opened", "");
    aim.scrollIntoView();
  }
  addEventListener("hashchange", reveal);
  reveal();

  var opened = [];
  addEventListener("beforeprint", function () {
    each("details:not([open]):not(.rl-long)", function (fold) { fold.open = true; opened.push(fold); });
  });
  addEventListener("afterprint", function () {
    opened.splice(0).forEach(function (fold) { fold.open = false; });
  });

  each(".md-header label.md-header__button[for]", function (label) {
    var box = document.getElementById(label.htmlFor);
    if (!box) { return; }
    function tell() { label.setAttribute("aria-expanded", String(box.checked)); }
    label.setAttribute("role", "button");
    label.setAttribute("aria-label", rlSay(label.htmlFor === "__drawer" ? "Menu" : "Search"));
    label.tabIndex = 0;
    tell();
    box.addEventListener("change", tell);
    label.addEventListener("keydown", function (event) {
      if (event.key !== "Enter" && event.key !== " ") { return; }
      event.preventDefault();
      event.stopPropagation(); /* the theme would press it a second time */
      box.click();
    });
    addEventListener("keydown", function (event) {
      if (event.key === "Escape" && box.checked && label.htmlFor === "__drawer") { box.click(); label.focus(); }
    });
  });

  each(".task-list-item input:not([aria-label])", function (box) {
    box.setAttribute("aria-label", rlSay(box.checked ? "done" : "to do"));
  });

  each("[data-rl-print]", function (tools) {
    tools.firstElementChild.addEventListener("click", function () { print(); });
    tools.hidden = false;
  });

  /* Copies a letter. Without script it is selected and copied as any text; the button stays hidden. */
  each("[data-rl-letter]", function (box) {
    var letter = box.querySelector("pre"), tools = box.querySelector(".rl-letter-tools");
    var told = tools.querySelector("output");

    /* Where a page may not write to the clipboard, the letter is selected, so that one key copies it. */
    function select() {
      var range = document.createRange(), selection = getSelection();
      range.selectNodeContents(letter);
      selection.removeAllRanges();
      selection.addRange(range);
      letter.focus();
    }
    function copied() { told.textContent = rlSay("Copied."); }
    function by_hand() {
      select();
      told.textContent = rlSay(document.execCommand("copy") ? "Copied." : "Selected: copy it with your keyboard.");
    }
    tools.querySelector("button").addEventListener("click", function () {
      if (navigator.clipboard) {
        navigator.clipboard.writeText(letter.textContent).then(copied, by_hand);
      } else {
        by_hand();
      }
    });
    tools.hidden = false;
  });

  each(".md-header [title], .md-nav [title], .md-content__button[title]", function (node) {
    if (!node.hasAttribute("aria-label")) { node.setAttribute("aria-label", node.title); }
    node.removeAttribute("title");
  });
})();
