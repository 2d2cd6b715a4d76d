/*
 * Draws the frames of rigs over one target, all to one scale, on the plane that touches the sky at the target's middle.
 * Each frame differs by the dashes of its line and by its letter, which stands at a corner of its own.
 */
const rigleafBesideFrames = (() => {
  "use strict";
  const WIDTH = 720, HEIGHT = 440, ROOM = 34, FOOT = 44;
  const DASHES = ["", "9 4", "2 3", "12 3 2 3"], LINES = ["whole line", "dashes", "dots", "dashes and dots"];
  const BARS = [60, 40, 20, 10, 5, 2, 1, 1 / 2, 1 / 3, 1 / 6, 1 / 12, 1 / 30, 1 / 60, 1 / 180, 1 / 360];
  const CORNERS = [[-1, -1], [1, -1], [1, 1], [-1, 1]];
  const make = rigleafBesideTables.make;

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

  const inWords = deg => deg >= 1 ? deg + "°" : deg >= 1 / 60 ? Math.round(deg * 60) + "′" : Math.round(deg * 3600) + "″";

  function plate(rigs, target) {
    const known = rigs.filter(rig => rig.frame);
    const reach = Math.max(...known.map(rig => Math.max(rig.frame[0] / 2, rig.frame[1] / 2)));
    const wide = Math.max(...known.map(rig => rig.frame[0] / 2), target ? Math.min(target[2] * 1.05, 2.2 * reach) : 0);
    const high = Math.max(...known.map(rig => rig.frame[1] / 2), target ? Math.min(target[3] * 1.05, 2.2 * reach) : 0);
    const scale = Math.min((WIDTH / 2 - ROOM) / wide, (HEIGHT / 2 - ROOM) / high), x = WIDTH / 2, y = HEIGHT / 2;
    const title = "Frames to one scale" + (target ? ": " + target[1] : "");
    const svg = draw("svg", { class: "plate-svg", viewBox: `0 0 ${WIDTH} ${HEIGHT + FOOT}`, role: "img", "aria-labelledby": "beside-title beside-words" });
    const words = known.map(rig => `${rig.letter} ${rig.name}: ${rig.frame[2]} by ${rig.frame[3]}`).join("; ");
    svg.append(draw("title", { id: "beside-title" }, title), draw("desc", { id: "beside-words" }, words + ". The table below says the same."));
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
    const parts = ["Frames of " + rigs.filter(rig => rig.frame).map(rig => `${rig.letter} (${LINES[rigs.indexOf(rig)]})`).join(", ")];
    parts.push(target ? ` over ${target[1]}, ${target[4]}, each camera turned so that its rows lie along the longest axis.` : ", all to one scale.");
    const letters = tiny.map(rig => rig.letter).join(" and ");
    if (tiny.length) { parts.push(` At this scale ${letters} ${tiny.length > 1 ? "are" : "is"} hardly more than a dot.`); }
    if (wide) { parts.push(" So wide a frame is drawn on a plane, as a lens draws it: degrees near its edges look longer than in the middle."); }
    return parts.join("");
  }

  function fieldTable(rigs, target) {
    const { textRow, body, table } = rigleafBesideTables;
    const line = (label, said) => {
      const texts = rigs.map(rig => rig.frame ? said(rig.frame) || "unsaid" : "unsaid");
      return textRow(rigs, label, texts.map(text => [text]), texts);
    };
    const rows = [line("Field, long side", frame => frame[2]), line("Field, short side", frame => frame[3])];
    if (target) { rows.push(line(`Holds the whole outline of ${target[1]}`, frame => holds(frame, target[2], target[3]) ? "yes" : "no, cut off")); }
    return table(rigs, "The frames in figures", [body(...rows)]);
  }

  /* Fill plate, caption and table; without any frame that is known the table says so. */
  function show(rigs, target, figure, fields) {
    const known = rigs.some(rig => rig.frame);
    figure.hidden = !known;
    if (known) {
      const drawn = plate(rigs, target);
      figure.firstElementChild.replaceWith(drawn.svg);
      figure.lastElementChild.replaceChildren(make("b", {}, "Plate."), " " + caption(rigs, target, drawn));
    }
    fields.replaceChildren(fieldTable(rigs, target));
  }

  return { show, holds };
})();
