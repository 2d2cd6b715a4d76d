/*
 * Keeps the guide on this device, so that it works without signal.
 *
 * Files are kept by path and digest, and only if their bytes have the digest that the guide's list names: a login page that a hotel's
 * network hands out in place of everything can never be kept. A version is complete before it takes over, so pages of two versions are
 * never mixed; what did not change is not fetched again.
 *
 * For a page, the server is asked for its version (33 bytes) and not for the page: where it has the version that is kept, or does not
 * answer soon, the kept page is shown at once. Where it has a newer one, the page comes from the server until that one is kept.
 */
"use strict";
const HOME = registration.scope, CACHE = "field copy of " + HOME, LIST = "field-copy.json", STATE = HOME + "field-copy-state";
const PATIENCE = 2500; /* ms for the server to say its version: longer, and a reader with one bar of signal waits at every page */
const FRESH = 20000;   /* ms for which its word, or its silence, counts */
const AT_ONCE = 3;     /* requests in the background: the reader's own go first */
const TO_SEND = "assets/copies/"; /* pages as single files for a mail: never kept, and the browser fetches them by itself */
const HOPELESS = 0.05; /* of all files: if more came other than listed, it is the host, and trying on helps nobody */

let cache, state, have, opened, asked, said = 0, work, stop = "";
const lists = {};

/* A worker is ended and begun anew at any time, so what it must not forget stands in the cache too. */
function open() {
  return (opened ||= (async () => {
    cache = await caches.open(CACHE);
    const kept = await cache.match(STATE);
    /*
     * current: the version that is shown; next: the one being fetched; given: the one given up on. wish: "" as the list says, "whole", or
     * "some" pages. kept: pages kept with what goes along; read: what is kept because it was read; seen: which version each open page is of.
     */
    state = Object.assign({ current: "", next: "", given: "", since: 0, wish: "", kept: [], read: [], seen: {}, refused: [], trouble: "", saving: false }, kept && (await kept.json()));
    have = new Set((await cache.keys()).map((request) => request.url));
  })().catch((error) => { opened = null; throw error; }));
}
const save = () => cache.put(STATE, new Response(JSON.stringify(state))).catch(() => {}); /* a full disk: nothing to be done */
const key = (path, digest) => HOME + path.split("/").map(encodeURIComponent).join("/") + "?" + digest;
const within = (ms, promise) => Promise.race([promise, new Promise((_, late) => setTimeout(late, ms))]);
const shy = () => state.saving && !state.wish; /* the reader's browser saves data, and nobody has asked for a copy */
const digestOf = async (bytes) =>
  Array.from(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)).slice(0, 16), (byte) => byte.toString(16).padStart(2, "0")).join("");

/* The version on the server; "" where nobody answers, or somebody else; "gone" where the guide keeps no field copy any more. */
function ask(anew) {
  if (!navigator.onLine) { return Promise.resolve(""); }
  if (anew || Date.now() - said > FRESH) {
    said = Date.now();
    asked = within(PATIENCE, fetch(HOME + "field-copy.txt", { cache: "no-store", mode: "same-origin" })).then(async (response) => {
      const text = response.ok ? (await response.text()).trim() : "";
      return /^[0-9a-f]{32}$/.test(text) ? text : response.status === 404 ? "gone" : "";
    }).catch(() => "");
  }
  return asked;
}

async function listOf(version, fetched) {
  if (version && !lists[version]) {
    const kept = fetched || (await cache.match(key(LIST, version)));
    if (kept) { lists[version] = await kept.json(); }
  }
  return lists[version];
}

/* The path below HOME that an address means; undefined where its signs mean nothing. */
function decoded(address) {
  try { return decodeURIComponent(address.slice(HOME.length).split(/[?#]/)[0]); } catch { return undefined; }
}
/* A path as the list names it: hosts and readers write the same page in several ways. */
function named(list, path) {
  const whole = path === "" || path.endsWith("/") ? path + "index.html" : path;
  return [whole, whole + ".html"].find((one) => list && Object.hasOwn(list.files, one)) || whole;
}
async function stored(version, path) {
  const list = await listOf(version), file = list && list.files[named(list, path)];
  return file && have.has(key(named(list, path), file[0])) ? cache.match(key(named(list, path), file[0])) : undefined;
}

/* Keeps one answer of the server if it is what the list says; throws where there is no room. */
async function keep(list, path, response) {
  const bytes = await response.arrayBuffer(), digest = list.files[path][0];
  if (!response.ok || (await digestOf(bytes)) !== digest) { return false; }
  const headers = new Headers(response.headers);
  headers.delete("vary");
  await cache.put(key(path, digest), new Response(bytes, { headers })); /* a new one: a page that was redirected may not be shown again */
  have.add(key(path, digest));
  return true;
}

addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) => event.waitUntil(clients.claim()));
addEventListener("fetch", (event) => {
  const request = event.request, url = new URL(request.url);
  if (request.method !== "GET" || request.headers.has("range") || stop === "removed") { return; }
  if (!url.href.startsWith(HOME) || url.href.startsWith(HOME + "field-copy.")) { return; }
  const path = decoded(url.href);
  if (path === undefined || path.startsWith(TO_SEND)) { return; }
  const answer = request.mode === "navigate" ? page : file;
  event.respondWith(open().then(() => answer(event, path, url), () => fetch(request)));
});

async function page(event, path, url) {
  const news = await ask(), now = state.current, list = await listOf(now);
  const see = (version) => { state.seen[event.resultingClientId] = version; event.waitUntil(save()); };
  const kept = await stored(now, path);
  if (kept && (news === "" || news === now)) { see(now); return kept; }
  /* "rigs/heron" for "rigs/heron/": its links would lead elsewhere, so the browser is sent on as a server would. */
  if (list && !path.endsWith("/") && Object.hasOwn(list.files, path + "/index.html")) { return Response.redirect(url.origin + url.pathname + "/" + url.search); }
  try {
    const response = await within(kept ? 3 * PATIENCE : 60000, fetch(news === now ? event.request : new Request(event.request, { cache: "no-cache" })));
    if (kept && response.status > 399) { see(now); return kept; }
    see(news);
    keepRead(event, list, path, news, response);
    return response;
  } catch {
    if (kept) { see(now); return kept; }
    /* A page of the guide's own tells what there is instead; it too may not be there yet. */
    const away = named(list, "away/");
    if (path !== "away/" && path !== away && (await stored(now, away))) { return Response.redirect(HOME + away + "?missing=" + encodeURIComponent(path)); }
    return new Response("<!doctype html><meta name=viewport content='width=device-width'><title>Not stored</title><body bgcolor=#000 text=#f00><h1>This page is not stored</h1><p>There is no signal here, and this device has not kept this page.", { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
  }
}

/* What a page shows and runs: of the page's own version. */
async function file(event, path) {
  const news = await ask();
  const version = state.seen[event.clientId] || (news === "" ? state.current : news);
  const kept = await stored(version, path);
  if (kept) { return kept; }
  try {
    const response = await fetch(version === state.current ? event.request : new Request(event.request, { cache: "no-cache" }));
    keepRead(event, await listOf(version), path, version, response);
    return response;
  } catch { return (await stored(state.current, path)) || Response.error(); }
}

function keepRead(event, list, path, version, response) {
  const one = named(list, path);
  if (version !== state.current || !list || !list.files[one] || shy()) { return; }
  remember(list, one);
  event.waitUntil(keep(list, one, response.clone()).catch(() => { state.trouble = "full"; }));
}

/* That a page was read. Before the first list nobody knows which paths there are; filling sorts them out. */
function remember(list, path) {
  if (list && (!Object.hasOwn(list.files, path) || wanted(list).includes(path))) { return; }
  if (!state.read.includes(path)) { state.read.push(path); }
}
const isWhole = (list) => state.wish === "whole" || (!state.wish && list.whole);
function wanted(list) {
  const names = Object.keys(list.files), frame = list.frame.map((number) => names[number]);
  /* Pages before files to take away: who leaves after half a minute has the better half. */
  if (isWhole(list)) { return [...new Set([...frame, ...names.filter((one) => list.files[one].length > 2), ...names])]; }
  const sets = state.kept.flatMap((one) => list.sets[one] || []).map((number) => names[number]);
  return [...new Set([...frame, ...sets, ...state.read.filter((one) => list.files[one])])];
}

/* Brings what is kept up to the server's version; goes on where it was stopped. One at a time. */
function upkeep(anew) {
  return (work ||= (async () => {
    const news = await ask(anew);
    if (news.length !== 32 || (!anew && (state.given === news || shy()))) { return; }
    try { await fill(news); } catch (error) {
      state.trouble = error && error.name === "QuotaExceededError" ? "full" : "network";
      if (state.trouble === "full") { state.given = news; }
    }
  })().catch(() => {}).then(async () => {
    work = null;
    if (stop !== "removed") { await tidy(); await tell(); }
  }));
}

async function fill(version) {
  state.next = version;
  if (!(await listOf(version))) {
    const response = await within(30000, fetch(HOME + LIST, { cache: "no-store", mode: "same-origin" }));
    const copy = response.clone(), found = await response.json();
    if (found.form !== 1 || found.version !== version) { return; }
    await cache.put(key(LIST, version), copy);
    lists[version] = found;
  }
  const list = lists[version];
  state.read = [...new Set(state.read.map((path) => named(list, path)))];
  const all = wanted(list), refused = [];
  /* Of the first version a part is better than nothing, and there is no other that it could be mixed with. */
  if (!state.current) { state.current = version; }
  await save();
  tell();
  const queue = all.filter((path) => [key(path, list.files[path][0])].every((one) => !have.has(one) && !state.refused.includes(one)));
  let failed = null, done = 0;
  const hopeless = () => refused.length > 1 + HOPELESS * all.length;
  const next = async () => {
    for (let path; !stop && !failed && !hopeless() && (path = queue.shift()) !== undefined;) {
      const get = fetch(key(path, "").slice(0, -1), { cache: "no-cache", mode: "same-origin", priority: "low" });
      try {
        if (!(await within(60000, get.then((response) => keep(list, path, response))))) { refused.push(key(path, list.files[path][0])); }
      } catch (error) { failed = error || new Error("late"); }
      if (++done % 25 === 0) { tell(); }
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, next));
  if (stop) { return; }
  if (failed) { throw failed; }
  /* Refused files are the host's fault only if the guide still answers: else a login page stands before it, or a new version is being laid out. */
  if (refused.length && (await ask(true)) !== version) { throw new Error("not the guide"); }
  state.refused.push(...refused);
  state.trouble = state.refused.length ? "altered" : "";
  if (hopeless()) { state.given = version; return; }
  state.current = version;
  state.read = state.read.filter((path) => Object.hasOwn(list.files, path));
  state.since = Date.now();
}

/* Lets go of what neither the version shown, nor the one being fetched, nor an open page needs. */
async function tidy() {
  const there = new Set((await clients.matchAll({ type: "all", includeUncontrolled: true })).map((client) => client.id));
  state.seen = Object.fromEntries(Object.entries(state.seen).filter(([id]) => there.has(id)));
  await save();
  const needed = new Set([STATE]);
  for (const version of [state.current, state.next, ...Object.values(state.seen)]) {
    const list = await listOf(version);
    if (!list) { continue; }
    needed.add(key(LIST, version));
    const names = version === state.current || version === state.next ? wanted(list) : Object.keys(list.files);
    names.forEach((path) => needed.add(key(path, list.files[path][0])));
  }
  for (const request of await cache.keys()) {
    if (!needed.has(request.url)) { have.delete(request.url); await cache.delete(request); }
  }
}

async function tell() {
  const list = await listOf(state.current), files = list ? list.files : {};
  const kept = Object.keys(files).filter((path) => have.has(key(path, files[path][0])));
  const status = {
    version: state.current, since: state.since, trouble: state.trouble, refused: state.refused.length, busy: !!work, saving: shy(),
    whole: !!list && isWhole(list), kept: state.kept, bytes: kept.reduce((sum, path) => sum + files[path][1], 0), all: list ? list.bytes : 0,
    left: list ? wanted(list).filter((path) => !kept.includes(path)).length : 0,
    pages: kept.filter((path) => files[path].length > 2).map((path) => [path, files[path][2]]), total: Object.values(files).filter((one) => one.length > 2).length,
  };
  for (const client of await clients.matchAll({ includeUncontrolled: true })) {
    const seen = state.seen[client.id];
    if (client.url.startsWith(HOME)) { client.postMessage({ fieldCopy: { ...status, newer: !!seen && seen !== state.current && !!state.since } }); }
  }
}

addEventListener("message", (event) => event.waitUntil(hear(event.data, event.source)));
async function hear(message, source) {
  if (message.do === "remove") {
    stop = "removed";
    await work;
    await caches.delete(CACHE);
    opened = null;
    await registration.unregister();
    return source.postMessage({ fieldCopy: { removed: true } });
  }
  stop = "";
  await open();
  state.saving = message.saving;
  if (message.do === "here") {
    if (message.anew) { await work; }
    const news = (!message.anew && (await ask())) || (await ask(true)); /* a silence may be over */
    if (!state.seen[source.id] && news.length === 32) { state.seen[source.id] = news; }
    const list = await listOf(state.current);
    const path = decoded(source.url);
    if (path !== undefined) { remember(list, named(list, path)); }
    return upkeep();
  }
  if (message.do === "tell") { return tell(); }
  await work;
  if (message.do === "whole") { state.wish = "whole"; }
  if (message.do === "keep") {
    state.kept = state.kept.filter((one) => one !== message.page).concat(message.on ? [message.page] : []);
    if (shy()) { state.wish = "some"; }
  }
  state.refused = [];
  state.given = "";
  return upkeep(true);
}
