/*
 * Rigs side by side: which ones are chosen, their files, the link that names them, and what is told of it.
 * Every file of figures calls rigleafBeside() with its data; only files of rigs that stand in the list are asked for.
 */
const rigleafBeside = (() => {
  "use strict";
  const root = document.querySelector("[data-rl-beside]"), most = Number(root.dataset.rlBeside);
  const { make, keyTable, chapterTable, findingsTable, showFrames } = rigleafDiffers;
  const find = selector => root.querySelector(selector);
  const form = find("form"), choice = form.elements.rig, told = find("[role=status]"), list = find(".rl-chosen");
  const near = find(".rl-beside-near"), tools = find(".rl-beside-tools"), what = find(".rl-beside-what"), marks = find("template");
  const aims = find("[name=target]");
  const names = new Map(), files = new Map(), targets = new Map();
  let chapters = [], chosen = [], target = null, turn = 0;

  const fill = (pattern, id) => pattern.replace(root.dataset.standsFor, id);
  const pageOf = id => id === "index" ? root.dataset.pageOfIndex : fill(root.dataset.pages, id);
  const listed = words => words.length > 1 ? words.slice(0, -1).join(", ") + rlSay(" and ") + words[words.length - 1] : words.join("");

  function run(src) {
    return new Promise((done, failed) => {
      const script = make("script", { src });
      script.onload = done;
      script.onerror = failed;
      document.head.append(script);
    });
  }
  const load = id => files.has(id) ? Promise.resolve() : run(fill(root.dataset.files, id));

  function link() {
    const query = (chosen.length ? "?rigs=" + chosen.join(",") : "") + (chosen.length && target ? "&target=" + target : "");
    return location.href.split(/[?#]/)[0] + query;
  }

  function button(words, label, act, enabled = true) {
    const made = make("button", { type: "button", "aria-label": label }, words);
    made.disabled = !enabled;
    made.addEventListener("click", act);
    return made;
  }

  /* Choose rigs anew, say what has happened, and keep the keyboard where it was. */
  async function choose(ids, words, focus) {
    const mine = ++turn, problems = [];
    await Promise.all(ids.map(id => load(id).catch(() => problems.push(id))));
    if (mine !== turn) { return; }
    chosen = ids.filter(id => files.has(id));
    if (problems.length) { words.push(rlSay("What is known of {names} could not be loaded.", { names: listed(problems.map(id => names.get(id))) })); }
    render();
    if (chosen.length === 1) { words.push(rlSay("Choose at least one more to set beside it.")); }
    if (chosen.length > 1) { words.push(rlSay("{n} rigs stand side by side.", { n: chosen.length })); }
    told.textContent = words.join(" ");
    focus?.();
  }

  function add(id) {
    if (chosen.length >= most) { told.textContent = rlSay("There is room for {n} rigs: take one away first.", { n: most }); return; }
    choose([...chosen, id], [rlSay("{name} is set here.", { name: names.get(id) })]);
  }
  function take(id) {
    choose(chosen.filter(one => one !== id), [rlSay("{name} is taken away.", { name: names.get(id) })], () => choice.focus());
  }
  function move(id, by) {
    const order = chosen.filter(one => one !== id), place = chosen.indexOf(id) + by;
    order.splice(place, 0, id);
    choose(order, [rlSay("{name} is now number {n}.", { name: names.get(id), n: place + 1 })], () => {
      const buttons = [...list.children[place].querySelectorAll("button")];
      const pressed = buttons[by < 0 ? 0 : 1];
      (pressed.disabled ? buttons[by < 0 ? 1 : 0] : pressed).focus();
    });
  }

  function renderList(rigs) {
    list.replaceChildren(...rigs.map(({ id, name, letter }, at) => {
      const item = make("li", {}, make("b", {}, letter), " ", make("a", { href: pageOf(id) }, name));
      item.append(make("span", { "data-rl-noprint": "" },
        button(rlSay("earlier"), rlSay("Move {name} earlier", { name }), () => move(id, -1), at > 0),
        button(rlSay("later"), rlSay("Move {name} later", { name }), () => move(id, 1), at < rigs.length - 1),
        button(rlSay("take away"), rlSay("Take {name} away", { name }), () => take(id))));
      return item;
    }));
    [...choice.options].forEach(option => { option.disabled = chosen.includes(option.value); });
    choice.value = "";
    const offered = [...new Set(rigs.flatMap(rig => rig.near))].filter(id => names.has(id) && !chosen.includes(id)).slice(0, most);
    near.hidden = !offered.length || chosen.length >= most;
    near.lastElementChild.replaceChildren(...offered.map(id => button(names.get(id), rlSay("Set {name} here", { name: names.get(id) }), () => add(id))));
  }

  function render() {
    const rigs = chosen.map((id, at) => ({ ...files.get(id), letter: "ABCD"[at] }));
    renderList(rigs);
    what.hidden = rigs.length < 2;
    tools.hidden = rigs.length < 2;
    tools.querySelector("input").hidden = true;
    if (rigs.length > 1) {
      const today = rigleafDay(root.dataset.rlZone);
      if (!targets.has(target)) { target = rigs.flatMap(rig => rig.targets).find(id => targets.has(id)) || null; }
      aims.value = target || "";
      find("[data-rl-key]").replaceChildren(keyTable(rigs, marks, today));
      showFrames(rigs, targets.get(target), find("figure"), find("[data-rl-fields]"));
      find("[data-rl-findings]").replaceChildren(findingsTable(rigs, chapters, marks, pageOf));
      find("[data-rl-chapters]").replaceChildren(chapterTable(rigs, chapters));
    }
    try { history.replaceState(history.state, "", link()); } catch (e) { /* some browsers refuse that for files on a disk */ }
  }

  /* What an address names, and a sentence for each thing in it that is not here. */
  function read() {
    const asked = new URLSearchParams(location.search), words = [];
    const ids = [...new Set(asked.getAll("rigs").join(",").split(",").map(id => id.trim()).filter(Boolean))];
    const unknown = ids.filter(id => !names.has(id)), here = ids.filter(id => names.has(id));
    unknown.slice(0, 3).forEach(id => words.push(rlSay("There is no rig “{id}” here.", { id: id.slice(0, 60) })));
    if (unknown.length > 3) { words.push(rlSay("{n} more are not here either.", { n: unknown.length - 3 })); }
    if (here.length > most) { words.push(rlSay("There is room for {n} rigs; the others are left out.", { n: most })); }
    target = asked.get("target");
    if (target && !targets.has(target)) { words.push(rlSay("There is no target “{id}” here.", { id: target.slice(0, 60) })); }
    return [here.slice(0, most), words];
  }

  function start(data) {
    data.rigs.forEach(([id, name]) => names.set(id, name));
    data.targets.forEach(one => targets.set(one[0], one));
    chapters = data.chapters;
    choice.append(make("option", { value: "" }, rlSay("choose a rig")), ...data.rigs.map(([id, name]) => make("option", { value: id }, name)));
    aims.append(make("option", { value: "" }, rlSay("none")), ...data.targets.map(([id, name]) => make("option", { value: id }, name)));
    aims.closest("p").hidden = !targets.size;
    document.querySelector("[data-rl-beside-without]").hidden = true;
    root.hidden = false;
    choose(...read());
  }

  form.addEventListener("submit", event => {
    event.preventDefault();
    if (choice.value) { add(choice.value); } else { told.textContent = rlSay("Choose a rig first."); }
  });
  aims.addEventListener("change", () => {
    target = aims.value;
    if (!target) { targets.set("", undefined); } /* none is a choice too */
    render();
  });
  tools.querySelector("button").addEventListener("click", () => {
    const field = tools.querySelector("input");
    const byHand = () => {
      field.hidden = false;
      field.value = link();
      field.select();
      told.textContent = rlSay("The link is selected: copy it with your keyboard.");
    };
    if (!navigator.clipboard) { byHand(); return; }
    navigator.clipboard.writeText(link()).then(() => { told.textContent = rlSay("The link is copied."); }, byHand);
  });

  run(root.dataset.list); /* which calls the function below, as every rig's file does */
  return data => { if (data.rigs) { start(data); } else { files.set(data.id, data); } };
})();
