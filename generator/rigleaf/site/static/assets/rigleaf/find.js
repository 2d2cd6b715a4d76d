/*
 * Narrows the table of rigs to those that suit, sorts it, and keeps what was asked in the address, so that an answer can be sent.
 * Which choices there are stands in the page: a control says in data-rl-test how it looks at which data attribute (data-rl-of) of
 * a row. A row without that attribute cannot be judged and is never hidden for it. Without script the page is the whole table.
 */
(() => {
  "use strict";
  const form = document.querySelector("[data-rl-find]");
  const table = form && document.getElementById(form.getAttribute("data-rl-find"));
  if (!table) { return; }

  const told = form.querySelector("output"), by_hand = form.querySelector("[data-rl-link]"), advice = document.querySelector("[data-rl-advice]");
  const beside = form.querySelector("[data-rl-beside-these]"), until = form.elements.until;
  const controls = Array.from(form.querySelectorAll("[data-rl-test]")), heads = table.tHead.rows[0].cells;
  const [main, aside] = table.tBodies, untold = document.createElement("tbody");
  const states = { b: rlSay("should be back"), s: rlSay("short of parts"), p: rlSay("spoken for"), o: rlSay("out"), d: rlSay("out and overdue") };
  const YES = 0, UNTOLD = 1, NO = 2;
  let order = { key: "", down: false }, strange = [];

  /* ---- rows ------------------------------------------------------------------------------------------------------------- */

  const take = (body, lent) => Array.from(body.querySelectorAll("tr:not(.rl-heading)"), (tr, place) => {
    const data = tr.dataset, name = tr.querySelector("a").textContent;
    return { tr, name, place, lent, data, numbers: {}, note: null };
  });
  const rows = take(main, true).concat(aside ? take(aside, false) : []);
  const lent = rows.filter((row) => row.lent).length;

  /* A value that ends in a plus may in truth be more, or worse: something behind it is unsaid. */
  function number(row, key) {
    if (!(key in row.numbers)) {
      const text = row.data[key];
      row.numbers[key] = text ? { value: parseFloat(text), more: text.endsWith("+") } : null;
    }
    return row.numbers[key];
  }
  const rounded = (value) => Number(value.toPrecision(3)); /* as the page shows it */

  /* The state of a row on the day asked for; of several days the worst. */
  const WORSE = "h-bspod";
  function state(row, { from, to }) {
    let found = "-";
    for (const run of (row.data.days || "").split(" ")) {
      const first = run.slice(0, 10), word = run.slice(10);
      if (run && (first <= from || (first <= to && WORSE.indexOf(word) > WORSE.indexOf(found)))) { found = word; }
    }
    return found;
  }

  /* What is unsaid of a row; of what was still out when the book was read that is only whether it came back. */
  function lack(row, want) {
    const waits = want.days && state(row, want.days) === "b";
    return waits ? rlSay("whether it is back by then, as it should be") : want.lacks;
  }

  /* ---- what is asked ------------------------------------------------------------------------------------------------------ */

  const unit_of = (control) => form.querySelector('[data-rl-unit-of="' + control.name + '"]');
  const size_of = (unit) => (unit ? Number(unit.selectedOptions[0].dataset.rlNumber) : 1);

  function in_words(control) {
    if (control.type === "checkbox") { return control.nextElementSibling.textContent; }
    if (control.type === "date") {
      const form = new Intl.DateTimeFormat(rlSay("en-GB"), { day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
      const { from, to } = days_of(control);
      return form.formatRange(new Date(from), new Date(to));
    }
    if (control.type !== "number") { return control.selectedOptions[0].textContent; }
    const sign = control.dataset.rlUnit, unit = unit_of(control);
    return Number(control.value).toLocaleString(rlSay("en-GB"), { useGrouping: false, maximumFractionDigits: 9 }) + (unit ? "\u00a0" + unit.value : sign || "");
  }

  const set = (control) => (control.type === "checkbox" ? control.checked : control.value !== "" && control.validity.valid);

  /* A last day makes of the first one a span; by itself it is a day like any other. */
  const spans = () => until && set(until) && form.elements.on.value;
  function days_of(control) {
    const dated = control.type === "date";
    return dated && { from: control.value, to: spans() ? until.value : control.value };
  }

  function asked() {
    return controls.filter((control) => set(control) && !(control === until && spans())).map((control) => {
      const of = control.dataset.rlOf, test = control.dataset.rlTest;
      const option = control.selectedOptions && control.selectedOptions[0];
      const wanted = option ? Number(option.dataset.rlNumber) : Number(control.value), size = size_of(unit_of(control));
      const days = days_of(control);
      const judge = {
        has: (row) => (!row.data[of] ? UNTOLD : row.data[of].split(" ").includes(control.value) ? YES : NO),
        is: (row) => (!row.data[of] ? UNTOLD : row.data[of] === control.value ? YES : NO),
        most: (row) => {
          const found = number(row, of);
          if (!found) { return UNTOLD; }
          return rounded(found.value / size) > wanted ? NO : found.more ? UNTOLD : YES;
        },
        least: (row) => {
          const found = number(row, of);
          return !found ? UNTOLD : rounded(found.value / size) >= wanted ? YES : NO;
        },
        frames: (row) => {
          if (!row.data[of]) { return UNTOLD; }
          return (parseInt(row.data[of][wanted >> 2], 16) >> (wanted & 3)) & 1 ? YES : NO;
        },
        day: (row) => {
          const found = state(row, days);
          return found === "-" || found === "b" ? UNTOLD : found === "h" ? YES : NO;
        },
      }[days ? "day" : test];
      return { control, judge, days, of, say: control.dataset.rlSay + in_words(control), lacks: control.dataset.rlLacks };
    });
  }

  /* ---- sorting ------------------------------------------------------------------------------------------------------------ */

  function compare(one, other) {
    const { key, down } = order, turn = down ? -1 : 1;
    if (!key) { return one.place - other.place; }
    if (key === "name" || key === "camera") {
      const [a, b] = key === "name" ? [one.name, other.name] : [one.data.camera || "", other.data.camera || ""];
      if (!a !== !b) { return a ? -1 : 1; }
      return turn * a.localeCompare(b) || one.place - other.place;
    }
    const a = number(one, key), b = number(other, key);
    if (!a || !b) { return (a ? -1 : b ? 1 : 0) || one.place - other.place; } /* the unsaid comes last either way */
    return turn * (a.value - b.value) || one.place - other.place;
  }

  function lay(body, wanted) {
    const now = Array.from(body.children).filter((tr) => !tr.classList.contains("rl-heading"));
    if (wanted.length !== now.length || wanted.some((row, place) => row.tr !== now[place])) {
      const after = body.nextSibling;
      body.remove(); /* rows are moved quicker where nothing sees them */
      body.append(...wanted.map((row) => row.tr));
      table.insertBefore(body, after);
    }
  }

  /* ---- showing ------------------------------------------------------------------------------------------------------------ */

  function element(name, text, parent) {
    const made = document.createElement(name);
    made.textContent = text || "";
    if (parent) { parent.append(made); }
    return made;
  }
  const plural = (count, one, many, values) => rlSay(count === 1 ? one : many, { n: count, ...values });
  const listed = (names) => (names.length > 9 ? names.slice(0, 8).concat(rlSay("{n} more", { n: names.length - 8 })) : names).join("; ");

  function note(row, text) {
    if (!text && !row.note) { return; }
    row.note = row.note || element("span", "", row.tr.cells[0]);
    row.note.className = "rl-note";
    row.note.textContent = text;
    row.note.hidden = !text;
  }

  function show() {
    if (until) { until.min = form.elements.on.value; }
    const wants = asked();
    by_hand.hidden = true; /* it would lead to what was asked before */
    for (const row of rows) {
      row.fails = [];
      row.lacks = [];
      for (const want of wants) {
        const found = want.judge(row);
        if (found === NO) { row.fails.push(want); } else if (found === UNTOLD) { row.lacks.push(want); }
      }
      row.answer = row.fails.length ? NO : row.lacks.length ? UNTOLD : YES;
      row.tr.hidden = row.answer === NO;
      note(row, row.answer === UNTOLD ? rlSay("Unsaid: {what}.", { what: [...new Set(row.lacks.map((want) => lack(row, want)))].join("; ") }) : "");
    }
    const sorted = rows.slice().sort(compare), maybe = sorted.filter((row) => row.lent && row.answer === UNTOLD);
    lay(main, sorted.filter((row) => row.lent && row.answer !== UNTOLD));
    lay(untold, maybe);
    untold.hidden = !maybe.length;
    if (aside) {
      lay(aside, sorted.filter((row) => !row.lent));
      aside.hidden = rows.every((row) => row.lent || row.answer === NO);
    }
    for (const head of heads) {
      const mine = order.key && head.dataset.rlSort === order.key;
      if (mine) { head.setAttribute("aria-sort", order.down ? "descending" : "ascending"); } else { head.removeAttribute("aria-sort"); }
    }
    tell(wants, sorted.filter((row) => row.lent), maybe.length);
    keep();
  }

  function tell(wants, all, maybe) {
    const fit = all.filter((row) => row.answer === YES).length;
    const head = order.key && Array.from(heads).find((one) => one.dataset.rlSort === order.key).textContent.trim();
    let words = wants.length ? plural(fit, "{n} of {all} fits.", "{n} of {all} fit.", { all: plural(lent, "{n} rig", "{n} rigs") }) : plural(lent, "{n} rig.", "{n} rigs.");
    if (maybe) { words += rlSay(" Of {n} more it cannot be told.", { n: maybe }); }
    if (head) { words += rlSay(order.down ? " Sorted by “{head}”, downwards." : " Sorted by “{head}”, upwards.", { head }); }
    if (told.textContent !== words) { told.textContent = words; } /* said once, however often one asks */
    table.caption.textContent = wants.length ? rlSay("Rigs, asked for {what}", { what: wants.map((want) => want.say).join("; ") }) : rlSay("All rigs");

    told.nextElementSibling.hidden = !fit && !maybe;
    set_beside(wants.length ? all.filter((row) => row.answer === YES).map((row) => row.data.id) : []);

    advice.textContent = "";
    if (strange.length) {
      element("p", rlSay("The link asked for something that this guide does not know, under {what}. That was left out.", { what: strange.join(", ") }), advice);
    }
    const day = wants.find((want) => want.days);
    const gone = day && fit ? all.filter((row) => row.fails.length === 1 && row.fails[0] === day && !row.lacks.length) : [];
    if (gone.length) {
      const names = gone.map((row) => row.name + " (" + states[state(row, day.days)] + ")");
      element("p", rlSay("These would fit but are not here on {day}: {names}.", { day: in_words(day.control), names: listed(names) }), advice);
    }
    if (wants.length && !fit) { mend(wants, all); }
    advice.hidden = !advice.firstChild;
  }

  /* The way to the page that sets the first of those that fit side by side, over the target that was asked for. */
  function set_beside(fit) {
    const some = fit.slice(0, Number(beside.dataset.rlMost)), target = form.elements.target;
    beside.parentNode.hidden = some.length < 2;
    beside.textContent = rlSay(some.length < fit.length ? "Set the first {n} side by side" : "Set them side by side", { n: some.length });
    beside.search = "rigs=" + some.join(",") + (target && target.value ? "&target=" + target.value : "");
  }

  /* Nothing fits: which single choice stands in the way, and which rigs come nearest. */
  function mend(wants, all) {
    element("p", rlSay("No rig fits all of that."), advice);
    const ways = wants.map((want) => ({
      want, rigs: all.filter((row) => !row.lacks.some((lack) => lack !== want) && row.fails.every((fail) => fail === want)),
    })).filter((way) => way.rigs.length);
    if (ways.length) {
      const list = element("ul", "", advice);
      for (const { want, rigs } of ways.sort((a, b) => b.rigs.length - a.rigs.length)) {
        const button = element("button", rlSay("Leave out “{what}”", { what: want.say }), element("li", "", list));
        button.type = "button";
        button.after(plural(rigs.length, " and {n} rig fits: {names}.", " and {n} rigs fit: {names}.", { names: listed(rigs.map((row) => row.name)) }));
        button.addEventListener("click", () => {
          clear(want.control);
          if (want.days && until) { clear(until); }
          show();
          told.focus();
        });
      }
    } else {
      element("p", rlSay("To leave out one choice is not enough."), advice);
    }
    const near = all.filter((row) => row.fails.length).sort((a, b) => a.fails.length + a.lacks.length - b.fails.length - b.lacks.length || a.place - b.place);
    element("p", rlSay("The nearest:"), advice);
    const list = element("ul", "", advice);
    for (const row of near.slice(0, 3)) {
      const item = element("li", "", list), link = element("a", row.name, item);
      link.href = row.tr.querySelector("a").href;
      const missed = row.fails.map((want) => rlSay("“{what}”", { what: want.say }) + instead(row, want)).join(rlSay(", nor "));
      item.append(rlSay(" does not meet {what}", { what: missed }));
      item.append(row.lacks.length ? rlSay("; unsaid: {what}.", { what: row.lacks.map((want) => lack(row, want)).join("; ") }) : ".");
    }
  }

  function instead(row, want) {
    if (want.days) { return " (" + states[state(row, want.days)] + ")"; }
    const place = Array.from(heads).findIndex((head) => head.dataset.rlSort === want.of);
    if (place < 0) { return ""; }
    const shown = row.tr.cells[place].cloneNode(true), unit = unit_of(want.control);
    shown.querySelectorAll(".rl-note").forEach((other) => other.remove());
    for (const other of shown.querySelectorAll(".rl-q > span")) { /* in the unit that was asked for */
      if (unit && !other.textContent.endsWith(unit.value)) { other.remove(); }
    }
    return " (" + shown.textContent.trim().replace(/\s+/g, " ") + ")";
  }

  function clear(control) {
    if (control.type === "checkbox") { control.checked = false; } else { control.value = ""; }
  }

  /* ---- the address -------------------------------------------------------------------------------------------------------- */

  function query() {
    const words = new Map();
    for (const control of controls.filter(set)) {
      const unit = unit_of(control), text = control.value + (unit ? unit.value : "");
      words.set(control.name, words.has(control.name) ? words.get(control.name) + "," + text : text);
    }
    if (order.key) { words.set("sort", (order.down ? "-" : "") + order.key); }
    return Array.from(words, (pair) => pair.join("=")).join("&"); /* all of it letters, digits, hyphens and points */
  }
  const bare = () => location.href.split(/[?#]/)[0];

  function keep() {
    const text = query();
    if (location.search.slice(1) === text) { return; }
    try {
      history.replaceState(history.state, "", bare() + (text ? "?" + text : "") + location.hash);
    } catch (e) { /* a browser may refuse; the answer stands all the same, and the link is made when it is asked for */ }
  }

  /* Whatever an address says, a control only ever takes what it offers; the rest is named and left out. */
  function read() {
    const said = new URLSearchParams(location.search.slice(0, 2000));
    controls.forEach(clear);
    strange = [];
    for (const name of new Set(controls.map((control) => control.name))) {
      const mine = controls.filter((control) => control.name === name), first = mine[0], text = said.get(name);
      if (!text) { continue; }
      let good = true;
      if (first.type === "checkbox") {
        const ticked = text.split(",");
        for (const box of mine) { box.checked = ticked.includes(box.value); }
        good = ticked.every((word) => mine.some((box) => box.value === word));
      } else if (first.type === "number") {
        const found = /^(\d{1,5}(?:\.\d{1,4})?)([a-z]{0,3})$/.exec(text), unit = unit_of(first);
        const fits = unit && found && Array.from(unit.options).find((one) => (found[2] ? one.value === found[2] : one.dataset.rlNumber === "1.0"));
        good = !!found && (unit ? !!fits : !found[2]);
        if (good) { first.value = found[1]; }
        if (good && unit) { unit.value = fits.value; }
      } else if (first.type === "date") {
        good = /^\d{4}-\d\d-\d\d$/.test(text);
        if (good) { first.value = text; }
        good = good && first.value === text;
      } else {
        const option = Array.from(first.options).find((one) => one.value === text);
        good = !!option;
        if (option) { option.selected = true; }
      }
      if (first === until) { first.min = form.elements.on.value; }
      if (!good || !first.validity.valid) { strange.push("“" + name + "”"); }
    }
    const sort = /^(-?)([a-z]+)$/.exec(said.get("sort") || "");
    const known = sort && Array.from(heads).some((head) => head.dataset.rlSort === sort[2]);
    order = known ? { key: sort[2], down: !!sort[1] } : { key: "", down: false };
    for (const fold of form.querySelectorAll("details")) {
      if (controls.some((control) => fold.contains(control) && set(control))) { fold.open = true; }
    }
  }

  function copy() {
    const text = query(), link = bare() + (text ? "?" + text : ""), field = by_hand.querySelector("input");
    const offer = () => {
      by_hand.hidden = false;
      field.value = link;
      field.focus();
      field.select();
      told.textContent = rlSay("The link is selected: copy it with your keyboard.");
    };
    const done = () => {
      by_hand.hidden = true;
      told.textContent = rlSay("The link is copied.");
    };
    if (navigator.clipboard) { navigator.clipboard.writeText(link).then(done, offer); } else { offer(); }
  }

  /* ---- beginning ---------------------------------------------------------------------------------------------------------- */

  const heading = untold.insertRow(), title = element("th", rlSay("Cannot be told: something that you ask is unsaid"), heading);
  heading.className = "rl-heading";
  title.colSpan = heads.length;
  title.scope = "rowgroup";
  main.after(untold);

  /* Cards keep saying that they are the rows of a table. */
  for (const [selector, role] of [["thead, tbody", "rowgroup"], ["tr", "row"], ["thead th", "columnheader"], ["tbody th", "rowheader"], ["td", "cell"]]) {
    for (const one of table.querySelectorAll(selector)) { one.setAttribute("role", role); }
  }
  table.setAttribute("role", "table");

  for (const head of heads) {
    const key = head.dataset.rlSort;
    if (!key) { continue; }
    const button = document.createElement("button");
    button.type = "button";
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener("click", () => {
      order = { key, down: order.key === key && !order.down };
      show();
    });
  }

  /* A mass is asked for in the units that the reader has chosen, until a number stands there. */
  function follow_units() {
    const second = document.documentElement.getAttribute("data-rl-units") === "second";
    for (const unit of form.querySelectorAll("[data-rl-unit-of]")) {
      if (!form.elements[unit.dataset.rlUnitOf].value) { unit.selectedIndex = second ? 1 : 0; }
    }
  }
  new MutationObserver(follow_units).observe(document.documentElement, { attributeFilter: ["data-rl-units"] });

  form.addEventListener("input", () => { strange = []; show(); });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", (event) => {
    event.preventDefault(); /* the page's own beginning is empty, whatever the browser has kept */
    controls.forEach(clear);
    strange = [];
    order = { key: "", down: false };
    follow_units();
    show();
  });
  form.querySelector("[data-rl-copy]").addEventListener("click", copy);
  const begin = () => { read(); follow_units(); show(); };
  addEventListener("popstate", begin);
  begin();
  form.hidden = false;
})();
