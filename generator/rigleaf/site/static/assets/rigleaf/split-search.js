/*
 * Search in an index that stands in pieces: of a large guide a phone fetches what a question needs, and nothing before one asks.
 * The theme's box and its looks stay; this takes the place of the theme's script, which would fetch the whole index with every page.
 * Pages opened from a folder may fetch nothing: there the theme goes on searching in the whole index, which lies beside the pieces.
 */
(function () {
  "use strict";
  const script = document.currentScript, box = document.querySelector("[data-md-component=search]"), toggle = document.getElementById("__search");
  if (!box || !toggle || location.protocol === "file:") { return; }
  const words = JSON.parse(script.dataset.words), base = new URL(script.dataset.base + "/", location.href).pathname;
  const form = box.querySelector("form"), field = box.querySelector("input[name=query]"), scrolls = box.querySelector(".md-search__scrollwrap");
  const said = box.querySelector(".md-search-result__meta"), list = box.querySelector(".md-search-result__list");
  const AT_ONCE = 10, WITHIN = 2, PATIENCE = 250; /* pages shown, sections of each, ms after the last key */
  /* What is in a title or a tag counts, not how often or in how short a text: as the theme's own search has it. */
  const RANKING = { termFrequency: 0, termSaturation: 2, pageLength: 0, metaWeights: { title: 0.3 } };

  form.removeAttribute("name");
  [box, field, box.querySelector(".md-search-result")].forEach((one) => one.removeAttribute("data-md-component"));
  said.setAttribute("role", "status");
  said.textContent = words.ask;

  let program, asked = 0, timer = 0, left = [];
  const load = () => (program ||= import(base + "search/split/pagefind.js").then(async (found) => {
    await found.options({ baseUrl: base, noWorker: true, excerptLength: 24, ranking: RANKING });
    await found.init();
    return found;
  }).catch((error) => { program = null; throw error; }));

  const make = (name, className, ...inside) => {
    const made = document.createElement(name);
    made.className = className;
    made.append(...inside);
    return made;
  };
  /* What a text says around the words that were found. It comes as HTML, and goes on as text and marks alone. */
  function passage(html) {
    const found = make("p", "");
    for (const node of new DOMParser().parseFromString(html, "text/html").body.childNodes) {
      found.append(node.nodeName === "MARK" ? make("mark", "", node.textContent) : node.textContent);
    }
    return found;
  }
  function hit(url, level, title, excerpt) {
    const link = make("a", "md-search-result__link", make("article", "md-search-result__article md-typeset", make(level, "", title), passage(excerpt)));
    link.href = url;
    return link;
  }
  /* A page and the sections of it that answer; where one does, the page's own words are those before its first section. */
  function item(page) {
    const within = page.sub_results.filter((one) => one.url.includes("#")).slice(0, WITHIN), head = page.sub_results.find((one) => !one.url.includes("#"));
    return make("li", "md-search-result__item", hit(page.url, "h1", page.meta.title, head ? head.excerpt : within.length ? "" : page.excerpt),
      ...within.map((one) => hit(one.url, "h2", one.title, one.excerpt)));
  }

  async function ask() {
    const question = field.value.trim(), number = ++asked, stale = () => number !== asked;
    if (!question) { left = []; list.replaceChildren(); said.textContent = words.ask; return; }
    try {
      const found = (await (await load()).search(question)).results;
      if (stale()) { return; }
      const first = await Promise.all(found.slice(0, AT_ONCE).map((one) => one.data()));
      if (stale()) { return; }
      left = found.slice(AT_ONCE);
      list.replaceChildren(...first.map(item));
      scrolls.scrollTop = 0;
      said.textContent = found.length ? (found.length === 1 ? words.one : words.other.replace("#", found.length)) : words.none;
      watch();
    } catch {
      if (!stale()) { left = []; list.replaceChildren(); said.textContent = rlSay("Search could not be loaded: there is no signal, or the host forbids it."); }
    }
  }

  /* The next ten, when the last is in view. */
  const ahead = new IntersectionObserver((seen) => { if (seen.some((one) => one.isIntersecting)) { more(); } }, { root: scrolls });
  function watch() {
    ahead.disconnect();
    if (left.length) { ahead.observe(list.lastElementChild); }
  }
  async function more() {
    const number = asked, next = left.splice(0, AT_ONCE);
    ahead.disconnect();
    const pages = await Promise.all(next.map((one) => one.data())).catch(() => []);
    if (number === asked && pages.length) { list.append(...pages.map(item)); watch(); }
  }

  const open = (is) => { if (toggle.checked !== is) { toggle.click(); } };
  function changed() {
    list.setAttribute("role", toggle.checked ? "list" : "presentation");
    list.hidden = !toggle.checked;
    if (toggle.checked) { field.focus(); } else { field.blur(); }
  }
  toggle.addEventListener("change", changed);
  list.hidden = true;
  field.addEventListener("focus", () => { open(true); load().catch(() => {}); });
  field.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(ask, PATIENCE); });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => { field.focus(); setTimeout(ask); });
  list.addEventListener("click", (event) => { if (event.target.closest("a")) { open(false); } });

  const types = (one) => one && one.matches("input:not([type=radio], [type=checkbox]), select, textarea, [contenteditable]");
  function step(by) {
    const all = [field, ...list.querySelectorAll("a")];
    all[(Math.max(0, all.indexOf(document.activeElement)) + by + all.length) % all.length].focus();
  }
  addEventListener("keydown", (event) => {
    const key = event.key;
    if (event.metaKey || event.ctrlKey || event.altKey || event.isComposing) { return; }
    if (!toggle.checked) {
      if ((key === "/" || key === "f" || key === "s") && !types(document.activeElement)) {
        event.preventDefault();
        field.focus();
        field.select();
      }
    } else if (key === "Escape" || key === "Tab") {
      open(false);
    } else if (key === "ArrowDown" || key === "ArrowUp") {
      event.preventDefault();
      step(key === "ArrowDown" ? 1 : -1);
    } else if (key === "Enter" && document.activeElement === field) {
      const best = list.querySelector("a");
      if (best) { best.click(); }
      event.preventDefault();
    } else if (key.length === 1 && document.activeElement !== field) {
      field.focus();
    }
  });
})();
