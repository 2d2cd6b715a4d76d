/*
 * What is shown of rigs side by side: first their tables, with the judgement whether two figures differ, then their frames
 * over one target. All text becomes text nodes.
 * A figure comes as [label, as shown, number, band, in other units, uncertainty, note, whether least is lightest];
 * what is empty at its end is left off. One that is shown as "" is unsaid.
 */
const rigleafDiffers = (() => {
  "use strict";
  const LABEL = 0, SHOWN = 1, NUMBER = 2, BAND = 3, OTHER = 4, ERROR = 5, NOTE = 6, LIGHTEST = 7;
  const DIFFERS = rlSay("≠ differs");
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
    return !allAlike(there) ? DIFFERS : there.length < figures.length ? rlSay("not for all") : "";
  }

  /* Which mass is the least beyond doubt, or -1. */
  function lightest(figures) {
    if (!figures.every(one => one?.[LIGHTEST] && number(one) !== null && !bound(one))) { return -1; }
    const least = figures.reduce((best, one, at) => one[NUMBER] < figures[best][NUMBER] ? at : best, 0);
    return figures.every((one, at) => at === least || !alike(one, figures[least])) ? least : -1;
  }

  function value(figure) {
    if (!figure) { return [make("span", { class: "rl-unsaid" }, "–", make("span", { class: "rl-hush" }, rlSay(" not among its figures")))]; }
    const parts = [];
    if (!figure[SHOWN]) { parts.push(make("span", { class: "rl-unsaid" }, rlSay("unsaid"))); }
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
      if (at === best) { made.firstChild.append(" ", make("b", { class: "rl-differs" }, rlSay("lightest"))); }
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
    const first = make("th", { scope: "col", role: "columnheader" }, make("span", { class: "rl-hush" }, rlSay("What")));
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
    const flights = rigs.map(rig => rig.flight ? [markOf(marks, rig.flight)] : [rlSay("not meant to fly, so not asked")]);
    const rows = byLabel(rigs.map(rig => rig.key)).map(figures => figureRow(rigs, figures));
    rows.push(textRow(rigs, rlSay("May it fly: the strictest answer"), flights, rigs.map(rig => rig.flight)));
    rows.push(...rigs[0].words.map(([label]) => figureRow(rigs, text(label))));
    if (rigs.some(rig => rig.told.length)) {
      const now = rigs.map(rig => rig.told.find(([from, to]) => from <= today && (!to || today <= to)));
      const said = now.map(one => one ? [make("b", {}, rlSay(one[2])), one[3]] : [rlSay("unsaid")]);
      rows.push(textRow(rigs, rlSay("To be had today"), said, now.map(one => one?.[2])));
    }
    return table(rigs, rlSay("Key figures side by side"), [body(...rows)]);
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
      const words = rlSay(same.length === 1 ? "1 figure is the same" : "{n} figures are the same", { n: same.length });
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
    return table(rigs, rlSay("Figures of each chapter that differ"), bodies);
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
        mark.lastElementChild.textContent = bad.length ? rlSay("{n} sound", { n: rest }) : rlSay("all sound");
        items.push(make("li", {}, mark));
      }
      return [items.length ? make("ul", { class: "rl-beside-findings" }, ...items) : "–"];
    })));
    const made = document.createDocumentFragment();
    if (rows.length) { made.append(table(rigs, rlSay("Findings by chapter, the worst first"), [body(...rows)])); }
    if (sound.length) {
      made.append(make("p", {}, rlSay("All that was judged is sound for each of them: {chapters}.", { chapters: sound.map(one => one[1]).join(", ") })));
    }
    return made;
  }

  /* ---- frames ----
   * All to one scale, on the plane that touches the sky at the target's middle. Each frame differs by the dashes of its line
   * and by its letter, which stands at a corner of its own.
   */
  const WIDTH = 720, HEIGHT = 440, ROOM = 34, FOOT = 44;
  const DASHES = ["", "9 4", "2 3", "12 3 2 3"], LINES = [rlSay("whole line"), rlSay("dashes"), rlSay("dots"), rlSay("dashes and dots")];
  const BARS = [60, 40, 20, 10, 5, 2, 1, 1 / 2, 1 / 3, 1 / 6, 1 / 12, 1 / 30, 1 / 60, 1 / 180, 1 / 360];
  const CORNERS = [[-1, -1], [1, -1], [1, 1], [-1, 1]];

  function draw(tag, attributes, text) {
    const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
    Object.entries(attributes).forEach(([name, value]) => element.setAttribute(name, value));
    if (text) { element.textContent = text; }
    return element;
  }

  /* Whether some turn of the camera holds a centred ellipse (half axes a >= b) in a frame: its half extents along and
     across have a constant sum of squares, and the one along can be anything from b to a. */
  function holds([width, height], a, b) {
    const long = Math.max(width, height) ** 2 / 4, short = Math.min(width, height) ** 2 / 4;
    return Math.max(b * b, a * a + b * b - short) <= Math.min(a * a, long) * (1 + 1e-9);
  }

  const inWords = deg => deg >= 1 ? deg.toLocaleString(rlSay("en-GB")) + "°" : deg >= 1 / 60 ? Math.round(deg * 60) + "′" : Math.round(deg * 3600) + "″";

  function plate(rigs, target) {
    const known = rigs.filter(rig => rig.frame);
    const reach = Math.max(...known.map(rig => Math.max(rig.frame[0] / 2, rig.frame[1] / 2)));
    const wide = Math.max(...known.map(rig => rig.frame[0] / 2), target ? Math.min(target[2] * 1.05, 2.2 * reach) : 0);
    const high = Math.max(...known.map(rig => rig.frame[1] / 2), target ? Math.min(target[3] * 1.05, 2.2 * reach) : 0);
    const scale = Math.min((WIDTH / 2 - ROOM) / wide, (HEIGHT / 2 - ROOM) / high), x = WIDTH / 2, y = HEIGHT / 2;
    const title = rlSay("Frames to one scale") + (target ? ": " + target[1] : "");
    const svg = draw("svg", { class: "plate-svg", viewBox: `0 0 ${WIDTH} ${HEIGHT + FOOT}`, role: "img", "aria-labelledby": "beside-title beside-words" });
    const words = known.map(rig => rlSay("{letter} {name}: {long} by {short}", { letter: rig.letter, name: rig.name, long: rig.frame[2], short: rig.frame[3] })).join("; ");
    svg.append(draw("title", { id: "beside-title" }, title), draw("desc", { id: "beside-words" }, words + rlSay(". The table below says the same.")));
    const clip = draw("clipPath", { id: "beside-clip" }), all = draw("g", { "clip-path": "url(#beside-clip)" });
    clip.append(draw("rect", { width: WIDTH, height: HEIGHT }));
    if (target) {
      all.append(draw("ellipse", { class: "ink-2 fill-tint", cx: x, cy: y, rx: (target[2] * scale).toFixed(2), ry: (target[3] * scale).toFixed(2) }));
    }
    rigs.forEach((rig, at) => {
      if (!rig.frame) { return; }
      const across = rig.frame[0] * scale, up = rig.frame[1] * scale, [right, down] = CORNERS[at];
      all.append(draw("rect", {
        class: "accent", "data-rig": rig.id, "stroke-dasharray": DASHES[at],
        x: (x - across / 2).toFixed(2), y: (y - up / 2).toFixed(2), width: across.toFixed(2), height: up.toFixed(2)
      }));
      all.append(draw("text", {
        "text-anchor": right < 0 ? "end" : "start",
        x: x + right * (across / 2 + 6), y: y + down * (up / 2) + (down < 0 ? 4 : 10)
      }, rig.letter));
    });
    const bar = BARS.find(deg => deg * scale <= WIDTH / 3) || BARS[BARS.length - 1], foot = HEIGHT + 16;
    svg.append(clip, all, draw("path", { class: "ink", d: `M12 ${foot - 5}v10m0-5h${(bar * scale).toFixed(2)}m0-5v10` }));
    svg.append(draw("text", { x: 20 + bar * scale, y: foot + 5 }, inWords(bar)));
    return { svg, tiny: known.filter(rig => rig.frame[0] * scale < 6), wide: reach > 10 };
  }

  function caption(rigs, target, { tiny, wide }) {
    const parts = [rlSay("Frames of {rigs}", { rigs: rigs.filter(rig => rig.frame).map(rig => `${rig.letter} (${LINES[rigs.indexOf(rig)]})`).join(", ") })];
    parts.push(target ? rlSay(" over {target}, {size}, each camera turned so that its rows lie along the longest axis.", { target: target[1], size: target[4] }) : rlSay(", all to one scale."));
    if (target?.[5]) { parts.push(" " + target[5]); }
    const letters = tiny.map(rig => rig.letter).join(rlSay(" and "));
    if (tiny.length) { parts.push(rlSay(tiny.length > 1 ? " At this scale {letters} are hardly more than a dot." : " At this scale {letters} is hardly more than a dot.", { letters })); }
    if (wide) { parts.push(rlSay(" So wide a frame is drawn on a plane, as a lens draws it: degrees near its edges look longer than in the middle.")); }
    return parts.join("");
  }

  function fieldTable(rigs, target) {
    const line = (label, said) => {
      const texts = rigs.map(rig => rig.frame ? said(rig.frame) || rlSay("unsaid") : rlSay("unsaid"));
      return textRow(rigs, label, texts.map(text => [text]), texts);
    };
    const rows = [line(rlSay("Field, long side"), frame => frame[2]), line(rlSay("Field, short side"), frame => frame[3])];
    if (target) { rows.push(line(rlSay("Holds the whole outline of {target}", { target: target[1] }), frame => holds(frame, target[2], target[3]) ? rlSay("yes") : rlSay("no, cut off"))); }
    return table(rigs, rlSay("The frames in figures"), [body(...rows)]);
  }

  /* Fill plate, caption and table; without any frame that is known the table says so. */
  function showFrames(rigs, target, figure, fields) {
    const known = rigs.some(rig => rig.frame);
    figure.hidden = !known;
    if (known) {
      const drawn = plate(rigs, target);
      figure.firstElementChild.replaceWith(drawn.svg);
      figure.lastElementChild.replaceChildren(make("b", {}, rlSay("Plate.")), " " + caption(rigs, target, drawn));
    }
    fields.replaceChildren(fieldTable(rigs, target));
  }

  return { make, alike, lightest, keyTable, chapterTable, findingsTable, showFrames, holds };
})();
