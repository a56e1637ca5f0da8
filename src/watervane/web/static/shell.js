// Keeps the shell of the pages on this device: what records are written on, styles, scripts, letters.
// No page that tells of water is kept, so none can be shown when it is old; a kept page says its age.
const VERSION = "{version}";
const FILES = `watervane-files-${VERSION}`;
const PAGES = `watervane-pages-${VERSION}`;
const ALONE = "/offline";
const FIRST_AID = "/first-aid";
const RECORD = /^\/(record|offline|first-aid|tank\/[^/]+\/record(\/[^/]+)?)$/;
const LOOK_AGAIN_MS = 10 * 60_000;
const KEEP_AGAIN_MS = 6 * 3_600_000;
const PATIENCE_MS = 6_000;
let looked = 0;

const dated = (text, answer) => {
  const headers = new Headers(answer.headers);
  headers.set("x-watervane-kept-at", String(Date.now()));
  headers.delete("content-encoding");
  headers.delete("content-length");
  return new Response(text, { status: 200, headers });
};

async function keep(path) {
  const answer = await fetch(path, { credentials: "same-origin", cache: "no-cache" });
  if (answer.status === 403) return leave();
  const pages = await caches.open(PAGES);
  return answer.ok ? pages.put(path, dated(await answer.text(), answer)) : pages.delete(path);
}

// Nobody who is not let in any more keeps pages of ours.
async function leave() {
  for (const name of await caches.keys()) await caches.delete(name);
  await self.registration.unregister();
}

async function look() {
  if (Date.now() - looked < LOOK_AGAIN_MS) return;
  looked = Date.now();
  const answer = await fetch("/shell.json", { credentials: "same-origin", cache: "no-cache" });
  if (answer.status === 403) return leave();
  if (!answer.ok) return;
  const wanted = (await answer.json()).pages;
  const pages = await caches.open(PAGES);
  for (const { url } of await pages.keys()) {
    if (!wanted.includes(new URL(url).pathname)) await pages.delete(url);
  }
  for (const path of wanted) {
    const found = await pages.match(path);
    if (!found || Date.now() - Number(found.headers.get("x-watervane-kept-at")) > KEEP_AGAIN_MS) await keep(path);
  }
}

async function install() {
  const { files } = await (await fetch("/shell.json", { credentials: "same-origin", cache: "no-cache" })).json();
  await (await caches.open(FILES)).addAll(files);
  await keep(ALONE);
  await keep(FIRST_AID);
}

async function tidy() {
  for (const name of await caches.keys()) {
    if (name.startsWith("watervane-") && ![FILES, PAGES].includes(name)) await caches.delete(name);
  }
  await self.clients.claim();
}

// The page as it was kept, with the moment written into it: a script of the page tells it.
async function kept(path) {
  const pages = await caches.open(PAGES);
  const found = (await pages.match(path)) ?? (await pages.match(ALONE));
  if (!found) return Response.error();
  const at = found.headers.get("x-watervane-kept-at");
  const text = (await found.text()).replace("<html ", `<html data-kept-at="${Number(at)}" `);
  return new Response(text, { headers: found.headers });
}

async function page(event, path) {
  const patience = RECORD.test(path) ? PATIENCE_MS : 10 * PATIENCE_MS;
  let waiting;
  try {
    const late = new Promise((_, failed) => { waiting = setTimeout(failed, patience); });
    const answer = await Promise.race([fetch(event.request), late]);
    if (answer.status === 403 && path !== "/enter" && path !== "/pair") event.waitUntil(leave());
    else if (answer.ok && RECORD.test(path) && !answer.redirected && !(path === FIRST_AID && new URL(event.request.url).search)) {
      const copy = answer.clone();
      event.waitUntil(copy.text().then(async (text) => (await caches.open(PAGES)).put(path, dated(text, copy))));
    }
    return answer;
  } catch {
    return kept(path);
  } finally {
    clearTimeout(waiting);
  }
}

async function file(request) {
  return (await caches.match(request, { ignoreVary: true })) ?? fetch(request);
}

self.addEventListener("install", (event) => event.waitUntil(install().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(tidy()));
self.addEventListener("message", (event) => event.data === "look" && event.waitUntil(look().catch(() => undefined)));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(event, pathname));
  else if (pathname.startsWith("/static/")) event.respondWith(file(request));
});
