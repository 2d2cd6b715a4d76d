/*
 * Tables of rigs side by side, and the judgement whether two figures differ. All text becomes text nodes.
 * A figure comes as [label, as shown, number, band, in other units, uncertainty, note, whether least is lightest];
 * what is empty at its end is left off. One that is shown as "" is unsaid.
 */
const rigleafBesideTables = (() => {
  "use strict";
  const LABEL = 0, SHOWN = 1, NUMBER = 2, BAND = 3, OTHER = 4, ERROR = 5, NOTE = 6, LIGHTEST = 7;
  const DIFFERS = "≠ differs";
  const WORST_FIRST = ["fails", "tight", "unsaid", "sound"];

  function make(tag, attributes, ...children) {
    const element = document.createElement(tag);
    Object.entries(attributes).forEach(([name, value]) => element.setAttribute(name, value));
    element.append(...children);
    return element;
  }

  const bound = figure => /^at (least|most)/.exec(figure[NOTE] || "")?.[1];
  const number = figure => typeof figure?.[NUMBER] === "number" ? figure[NUMBER] : null;

  /* Whether no more lies between two figures than rounding or their uncertainties; the same asked either way. */
  function alike(one, other) {
    if (bound(one) !== bound(other)) { return false; }
    if ((one[SHOWN] || "") === (other[SHOWN] || "")) { return true; }
    if (number(one) === null || number(other) === null) { return false; }
    return Math.abs(one[NUMBER] - other[NUMBER]) <= (one[BAND] || 0) + (other[BAND] || 0);
  }
  const allAlike = figures => figures.every((one, at) => figures.slice(at + 1).every(other => alike(one, other)));

  /* What a row is marked with: that its figures differ, that not all rigs have one, or nothing. */
  function marker(figures) {
    const there = figures.filter(Boolean);
    return !allAlike(there) ? DIFFERS : there.length < figures.length ? "not for all" : "";
  }

  /* Which mass is the least beyond doubt, or -1. */
  function lightest(figures) {
    if (!figures.every(one => one?.[LIGHTEST] && number(one) !== null && !bound(one))) { return -1; }
    const least = figures.reduce((best, one, at) => one[NUMBER] < figures[best][NUMBER] ? at : best, 0);
    return figures.every((one, at) => at === least || !alike(one, figures[least])) ? least : -1;
  }

  function value(figure) {
    if (!figure) { return [make("span", { class: "rl-unsaid" }, "–", make("span", { class: "rl-hush" }, " not among its figures"))]; }
    const parts = [];
    if (!figure[SHOWN]) { parts.push(make("span", { class: "rl-unsaid" }, "unsaid")); }
    else if (number(figure) === null) { parts.push(figure[SHOWN]); }
    else {
      const quantity = make("span", { class: "rl-q" }, make("span", { class: "rl-q1" }, figure[SHOWN]));
      if (figure[ERROR]) { quantity.append(" ", make("span", { class: "rl-pm" }, "± " + figure[ERROR])); }
      if (figure[OTHER]) { quantity.append(" ", make("span", { class: "rl-q2" }, figure[OTHER])); }
      parts.push(quantity);
    }
    if (figure[NOTE]) { parts.push(make("span", { class: "rl-note" }, figure[NOTE])); }
    return parts;
  }

  /* A row of any cells; each cell is a list of nodes and texts. */
  function row(rigs, label, cells, mark = "", best = -1) {
    const head = make("th", { scope: "row", role: "rowheader" }, label);
    if (mark) { head.append(" ", make("b", { class: "rl-differs" }, mark)); }
    const line = make("tr", { role: "row" }, head);
    if (mark === DIFFERS) { line.setAttribute("data-differs", ""); }
    cells.forEach((cell, at) => {
      const made = make("td", { role: "cell", "data-head": rigs[at].letter + " " + rigs[at].name }, make("div", {}, ...cell));
      if (at === best) { made.firstChild.append(" ", make("b", { class: "rl-differs" }, "lightest")); }
      line.append(made);
    });
    return line;
  }
  const textRow = (rigs, label, cells, texts) => row(rigs, label, cells, new Set(texts).size > 1 ? DIFFERS : "");
  const figureRow = (rigs, figures) =>
    row(rigs, figures.find(Boolean)[LABEL], figures.map(value), marker(figures), lightest(figures));

  /* Figures of one label stand in one row, in the order in which the rigs name them. */
  function byLabel(lists) {
    const labels = new Set(lists.flat().map(figure => figure[LABEL]));
    return [...labels].map(label => lists.map(list => list.find(figure => figure[LABEL] === label)));
  }

  function table(rigs, caption, bodies) {
    const heads = rigs.map(rig => make("th", { scope: "col", role: "columnheader" }, make("b", {}, rig.letter), " ", rig.name));
    const first = make("th", { scope: "col", role: "columnheader" }, make("span", { class: "rl-hush" }, "What"));
    return make("table", { class: "rl-figures rl-wide rl-beside-table", role: "table", "data-count": rigs.length },
      make("caption", {}, caption),
      make("thead", { role: "rowgroup" }, make("tr", { role: "row" }, first, ...heads)),
      ...bodies);
  }
  const body = (...rows) => make("tbody", { role: "rowgroup" }, ...rows);

  const markOf = (marks, word) => marks.content.querySelector(`[data-word="${word}"]`).firstElementChild.cloneNode(true);

  /* The head of the comparison: key figures, whether it may fly, words, and what can be had today. */
  function keyTable(rigs, marks, today) {
    const text = label => rigs.map(rig => [label, rig.words.find(one => one[0] === label)[1]]);
    const flights = rigs.map(rig => rig.flight ? [markOf(marks, rig.flight)] : ["not meant to fly, so not asked"]);
    const rows = byLabel(rigs.map(rig => rig.key)).map(figures => figureRow(rigs, figures));
    rows.push(textRow(rigs, "May it fly: the strictest answer", flights, rigs.map(rig => rig.flight)));
    rows.push(...rigs[0].words.map(([label]) => figureRow(rigs, text(label))));
    if (rigs.some(rig => rig.phases.length)) {
      const now = rigs.map(rig => rig.phases.find(([from, to]) => from <= today && (!to || today <= to)));
      const said = now.map(one => one ? [make("b", {}, one[2]), make("span", { class: "rl-note" }, one[3])] : ["unsaid"]);
      rows.push(textRow(rigs, "To be had today", said, now.map(one => one?.[2])));
    }
    return table(rigs, "Key figures side by side", [body(...rows)]);
  }

  /* What differs in each chapter; what is the same folds away behind a button. */
  function chapterTable(rigs, chapters) {
    const bodies = [];
    chapters.forEach(([id, title]) => {
      const lists = byLabel(rigs.map(rig => rig.rows[id] || []));
      if (!lists.length) { return; }
      const differing = lists.filter(marker), same = lists.filter(figures => !marker(figures));
      const head = make("th", { scope: "rowgroup", role: "rowheader", colspan: rigs.length + 1 }, title);
      const shown = body(make("tr", { role: "row", class: "rl-beside-head" }, head), ...differing.map(one => figureRow(rigs, one)));
      bodies.push(shown);
      if (!same.length) { return; }
      const words = same.length === 1 ? "1 figure is the same" : same.length + " figures are the same";
      const button = make("button", { type: "button", "aria-expanded": "false" }, words);
      const folded = body(...same.map(one => figureRow(rigs, one)));
      folded.hidden = true;
      button.addEventListener("click", () => {
        folded.hidden = !folded.hidden;
        button.setAttribute("aria-expanded", String(!folded.hidden));
      });
      shown.append(make("tr", { role: "row", class: "rl-beside-same" }, make("td", { role: "cell", colspan: rigs.length + 1 }, button)));
      bodies.push(folded);
    });
    return table(rigs, "Figures of each chapter that differ", bodies);
  }

  /* Chapters by their worst finding in any of the rigs; each finding leads to where the rig's page explains it. */
  function findingsTable(rigs, chapters, marks, pageOf) {
    const worst = id => Math.min(...rigs.flatMap(rig => (rig.findings[id] || []).map(one => WORST_FIRST.indexOf(one[0]))));
    const judged = chapters.filter(([id]) => rigs.some(rig => rig.findings[id])).sort((a, b) => worst(a[0]) - worst(b[0]));
    const open = judged.filter(([id]) => worst(id) < 3), sound = judged.filter(([id]) => worst(id) === 3);
    const rows = open.map(([id, title]) => row(rigs, title, rigs.map(rig => {
      const found = rig.findings[id] || [], bad = found.filter(one => one[0] !== "sound"), rest = found.length - bad.length;
      const items = bad.map(([word, one, name]) =>
        make("li", {}, markOf(marks, word), " ", make("a", { href: `${pageOf(rig.id)}#${id}-${one}` }, name)));
      if (rest) {
        const mark = markOf(marks, "sound");
        mark.lastElementChild.textContent = bad.length ? rest + " sound" : "all sound";
        items.push(make("li", {}, mark));
      }
      return [items.length ? make("ul", { class: "rl-beside-findings" }, ...items) : "–"];
    })));
    const made = document.createDocumentFragment();
    if (rows.length) { made.append(table(rigs, "Findings by chapter, the worst first", [body(...rows)])); }
    if (sound.length) {
      made.append(make("p", {}, "All that was judged is sound for each of them: " + sound.map(one => one[1]).join(", ") + "."));
    }
    return made;
  }

  return { make, textRow, body, table, alike, marker, lightest, keyTable, chapterTable, findingsTable };
})();
