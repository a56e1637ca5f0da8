// The outbox: what is recorded without a network waits on this device and is sent when it can be.
// An entry is put into the store before it is sent, under the name its form carries; the server
// keeps a name once, so that whatever is sent again, by any window, is kept once.
import { all, drop, put, read } from "./outbox_store.js";
import { sendOne, shownInstead, wrongsOf } from "./sending.js";

const AGAIN_MS = 60_000;
const OLD_MS = 300_000;
const STATES = { 403: "refused", 404: "lost", 409: "passed", 413: "large", 422: "wrong" };
const ENDED = ["wrong", "passed"]; // sent again only when it is asked for
const opened = Date.now();
const root = document.documentElement;
const band = document.getElementById("outbox");
const told = document.getElementById("outbox-told");
const news = "BroadcastChannel" in self ? new BroadcastChannel("watervane-outbox") : undefined;
const held = new Set(); // names that a form of this window is sending just now

const say = (name, said = {}) =>
  Object.entries(said).reduce((text, [key, value]) => text.replace(`{${key}}`, value), band.dataset[name]);
const moment = (at) =>
  new Date(at).toLocaleString(root.lang === "en" ? "en-GB" : root.lang, { weekday: "long", day: "numeric", month: "long", hour: "2-digit", minute: "2-digit" });

function fresh() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((each) => each.toString(16).padStart(2, "0")).join("");
}

function nowIn(zone) {
  const clock = new Intl.DateTimeFormat("en-GB", {
    timeZone: zone, hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit",
  });
  const part = Object.fromEntries(clock.formatToParts(new Date()).map(({ type, value }) => [type, value]));
  return { day: `${part.year}-${part.month}-${part.day}`, hour: `${part.hour}:${part.minute}` };
}

// Day and time that nobody touched are those of now, however long ago the page was made.
function renewMoment(form) {
  if (!form.dataset.zone) return; // an entry that is put right keeps its own
  if (!root.dataset.keptAt && Date.now() - opened < OLD_MS) return;
  if (document.getElementById("problems")) return;
  const now = nowIn(form.dataset.zone);
  for (const name of ["day", "hour"]) {
    const field = form.elements[name];
    if (field && field.value === field.defaultValue) field.value = field.defaultValue = now[name];
  }
}

// By what a form that is good for once is known again: its entry, or the step it tells of.
const onceOf = (form) => `${form.getAttribute("action")} ${form.elements.words?.value ?? ""}`.trim();

function itemOf(form) {
  const sent = [...new FormData(form)];
  const fields = sent.filter(([, value]) => typeof value === "string");
  const files = sent.filter(([, value]) => typeof value !== "string" && value.size);
  const typed = new Map(fields);
  if (form.dataset.zone && !typed.get("day")) typed.set("day", nowIn(form.dataset.zone).day).set("hour", nowIn(form.dataset.zone).hour);
  return {
    key: typed.get("request"), action: form.getAttribute("action"), form: form.dataset.form ?? "",
    label: form.dataset.outbox, since: Date.now(), fields: [...typed], files,
    multipart: form.enctype === "multipart/form-data", wrong: {}, loose: [], state: "waiting",
    once: form.hasAttribute("data-once") ? onceOf(form) : undefined,
  };
}

async function settle(item, answer) {
  if (answer.kept) return drop(item.key);
  const { wrong, loose, sure } = wrongsOf(answer.page);
  Object.assign(item, { state: STATES[answer.status] ?? "failed", wrong, loose, sure });
  return put(item);
}

// A form of the page, sent. Without a network it stays here; what is wrong comes back on the page.
async function record(form) {
  const item = itemOf(form);
  held.add(item.key);
  form.setAttribute("aria-busy", "true");
  try {
    await put(item);
    const answer = await sendOne(item);
    if (answer?.kept) {
      await drop(item.key);
      news?.postMessage("changed");
      location.assign(answer.kept);
      return;
    }
    if (ENDED.includes(STATES[answer?.status])) {
      await drop(item.key);
      shownInstead(answer.page);
      return;
    }
    if (answer) await settle(item, answer);
    if (location.hash.startsWith("#mend=")) history.replaceState(null, "", location.pathname);
    document.querySelectorAll("main #problems").forEach((each) => each.remove());
    form.reset();
    renewMoment(form);
    form.elements.request.value = fresh();
    told.textContent = say(answer ? "toldtrouble" : "toldwaiting", { what: item.label });
  } catch {
    held.delete(item.key);
    form.submit(); // no store in this browser: as without scripts
    return;
  } finally {
    held.delete(item.key);
    form.removeAttribute("aria-busy");
  }
  await show();
  if (form.hasAttribute("data-once")) band.focus(); // its button is asleep now
  else band.scrollIntoView({ block: "nearest" });
  tryAgainSoon(); // a gap too short for the browser to notice tells of no return
  news?.postMessage("changed");
}

// A network that has just come back is often not there yet: soon, later, then every minute.
const SOON_MS = [300, 1_500, 4_000, 10_000, 25_000];
const tryAgainSoon = () => SOON_MS.forEach((wait) => setTimeout(() => show().then((left) => left && sendAll()), wait));

let sending = false;
async function sendAll(asked = false) {
  if (sending) return;
  sending = true;
  try {
    const alone = navigator.locks
      ? (work) => navigator.locks.request("watervane-outbox", { ifAvailable: !asked }, (lock) => lock && work())
      : (work) => work();
    await alone(async () => {
      const kept = [];
      for (const item of await all()) {
        if (held.has(item.key) || (ENDED.includes(item.state) && !asked)) continue;
        const answer = await sendOne(item);
        if (!answer) {
          if (asked) told.textContent = say("still");
          break;
        }
        await settle(item, answer);
        if (answer.kept) kept.push(item.label);
      }
      if (kept.length) told.textContent = say("sent", { what: kept.join("; ") });
      if (kept.length) document.getElementById("outbox-age").textContent = "";
    });
  } finally {
    sending = false;
    await show();
    news?.postMessage("changed");
  }
}

function shown(item) {
  const line = document.getElementById("outbox-item").content.cloneNode(true).firstElementChild;
  const part = (name) => line.querySelector(`[data-part="${name}"]`);
  line.dataset.key = item.key;
  part("what").textContent = item.label;
  part("since").textContent = say("since", { since: moment(item.since) });
  const wrongs = [...Object.values(item.wrong).flat(), ...item.loose];
  const troubles = item.state === "wrong" ? wrongs : item.state === "waiting" ? [] : [say(item.state)];
  for (const text of troubles) {
    const said = document.createElement("p");
    said.className = "wrong";
    said.textContent = text;
    part("wrongs").append(said);
  }
  const mend = part("mend");
  if (item.state === "wrong" && item.form) mend.href = `${item.form}#mend=${item.key}`;
  else mend.remove();
  for (const each of line.querySelectorAll(".unseen")) each.textContent = `: ${item.label}`;
  return line;
}

// What can be done once only is not offered again while it waits here.
function markWaiting(items) {
  const waiting = new Set(items.filter(({ state }) => state !== "wrong").map(({ action, once }) => once ?? action));
  for (const form of document.querySelectorAll("form[data-once]")) {
    const waits = waiting.has(onceOf(form));
    for (const button of form.querySelectorAll("button")) button.disabled = waits;
    const said = form.querySelector("[data-part='waits']");
    if (waits && !said) {
      form.append(Object.assign(document.createElement("span"), { className: "aside", textContent: say("waits") }));
      form.lastElementChild.dataset.part = "waits";
    }
    if (!waits) said?.remove();
  }
}

// What waits, as it is seen; how many there are.
let drawn;
async function show() {
  const items = (await all()).filter((each) => !held.has(each.key));
  markWaiting(items);
  const now = JSON.stringify(items.map(({ key, state, wrong, loose }) => [key, state, wrong, loose]));
  if (now === drawn) return items.length;
  drawn = now;
  band.hidden = !items.length;
  band.querySelector("h2").textContent = say(items.length === 1 ? "one" : "many", { count: items.length });
  band.querySelector("ol").replaceChildren(...items.map(shown));
  return items.length;
}

async function pressed(event) {
  const line = event.target.closest("li[data-key]");
  const button = event.target.closest("button");
  if (!button) return;
  const part = (name) => line.querySelector(`[data-part="${name}"]`);
  if (button.dataset.part === "send") await sendAll(true);
  if (button.dataset.part === "discard") {
    part("sure").hidden = false;
    button.hidden = true;
    part("keep").focus();
  }
  if (button.dataset.part === "keep") {
    part("sure").hidden = true;
    part("discard").hidden = false;
    part("discard").focus();
  }
  if (button.dataset.part === "really") {
    const item = await read(line.dataset.key);
    await drop(line.dataset.key);
    told.textContent = say("gone", { what: item?.label ?? "" });
    await show();
    news?.postMessage("changed");
    band.hidden ? document.querySelector("main").focus() : band.focus();
  }
}

// The one answer to what was asked: that it is so.
function ticked({ name, text }) {
  const tick = Object.assign(document.createElement("input"), { type: "checkbox", name, id: name, value: "yes" });
  const label = Object.assign(document.createElement("label"), { className: "choice" });
  label.append(tick, " ", Object.assign(document.createElement("span"), { textContent: text }));
  const field = Object.assign(document.createElement("div"), { className: "field" });
  field.append(label);
  return field;
}

// The form of an entry that could not be understood, filled in again, with what is wrong beside it.
async function mend() {
  const item = await read(location.hash.replace(/^#mend=/, ""));
  const form = item && document.querySelector(`form[data-outbox][action="${item.action}"]`);
  if (!form) return;
  for (const [name, value] of item.fields) {
    const field = form.elements[name];
    if (field?.type === "checkbox") field.checked = field.value === value;
    else if (field) field.value = value;
  }
  for (const [name, value] of item.files) {
    const carried = new DataTransfer();
    carried.items.add(new File([value], value.name, { type: value.type }));
    if (form.elements[name]) form.elements[name].files = carried.files;
  }
  if (item.sure) form.querySelector(".actions").before(ticked(item.sure));
  const list = document.createElement("ul");
  for (const text of item.loose) list.append(Object.assign(document.createElement("li"), { textContent: text }));
  for (const [name, texts] of Object.entries(item.wrong)) {
    const field = form.elements[name]?.length ? form.elements[name][0] : form.elements[name];
    if (!field) continue;
    field.id ||= name;
    const said = Object.assign(document.createElement("div"), { id: `${name}-wrong` });
    said.append(...texts.map((text) => Object.assign(document.createElement("p"), { className: "wrong", textContent: text })));
    field.closest(".field").append(said);
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", `${field.getAttribute("aria-describedby") ?? ""} ${name}-wrong`.trim());
    const label = field.labels?.[0]?.textContent ?? name;
    const way = document.createElement("li");
    way.append(Object.assign(document.createElement("a"), { href: `#${field.id}`, textContent: label }));
    list.append(way);
  }
  const above = Object.assign(document.createElement("div"), { className: "problems", id: "problems", tabIndex: -1 });
  above.append(Object.assign(document.createElement("p"), { textContent: say(item.sure ? "doubttold" : "mendtold") }), list);
  form.before(above);
  above.focus();
}

// A page that the device itself kept says so, and how old it is.
function tellAge() {
  const note = document.getElementById("outbox-age");
  if (root.dataset.keptAt && note) {
    note.textContent = say("age", { since: moment(Number(root.dataset.keptAt)) });
  }
}

function begin() {
  for (const form of document.querySelectorAll("form[data-outbox]")) {
    renewMoment(form);
    if (root.dataset.keptAt) form.elements.request.value = fresh();
  }
}

document.addEventListener("submit", (event) => {
  if (!event.target.matches("form[data-outbox]") || !event.target.elements.request) return;
  event.preventDefault();
  if (!event.target.hasAttribute("aria-busy")) record(event.target);
});
document.addEventListener("visibilitychange", () => {
  if (document.hidden) return;
  document.querySelectorAll("form[data-outbox]").forEach(renewMoment);
  sendAll();
});
band.addEventListener("click", pressed);
addEventListener("online", tryAgainSoon);
addEventListener("pageshow", ({ persisted }) => persisted && sendAll());
news?.addEventListener("message", show);
addEventListener("watervane-renewed", show); // buttons that were put in place anew
setInterval(() => sendAll(), AGAIN_MS);
tellAge();
begin();
if (location.hash.startsWith("#mend=")) mend();
addEventListener("hashchange", () => location.hash.startsWith("#mend=") && location.reload());
show().then(() => sendAll(), () => undefined);

if ("serviceWorker" in navigator) {
  navigator.serviceWorker.register("/shell.js", { scope: "/" }).catch(() => undefined);
  navigator.serviceWorker.ready.then(({ active }) => active.postMessage("look"));
}
