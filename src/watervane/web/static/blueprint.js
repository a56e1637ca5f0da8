// Works the plan out again while its numbers change. Without this file the button does.
const WAIT_MS = 60;
const TOLD_MS = 300; // what takes longer says so
const form = document.querySelector("[data-planned]");
const told = [...document.querySelectorAll("[data-told]")];
const waits = document.querySelector("[data-waits]");
let timer, late, asked = new AbortController();

// Sizes that another shape has are neither seen nor sent.
function fitShape() {
  const shape = form.elements.shape?.value.replaceAll(" ", "-");
  for (const place of form.querySelectorAll("[data-shapes]")) {
    const hidden = !place.dataset.shapes.split(" ").includes(shape);
    place.hidden = hidden;
    for (const each of place.querySelectorAll("input")) each.disabled = hidden;
  }
}

function query() {
  const words = new URLSearchParams(new FormData(form));
  for (const [name, value] of [...words]) if (!value) words.delete(name);
  return words;
}

const foldName = (each) => `${each.closest("section")?.getAttribute("aria-labelledby")} ${each.querySelector("summary").textContent}`;

async function ask() {
  asked.abort();
  const here = asked = new AbortController();
  const words = query();
  history.replaceState(null, "", `?${words}`);
  words.set("live", "1");
  clearTimeout(late);
  late = setTimeout(() => { waits.textContent = waits.dataset.waits; }, TOLD_MS);
  let page;
  try {
    const answer = await fetch(`${form.getAttribute("action")}?${words}`, { signal: here.signal, headers: { accept: "text/html" } });
    if (!answer.ok) return;
    page = new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch (error) {
    if (error.name === "AbortError") return;
    throw error;
  } finally {
    if (here === asked) {
      clearTimeout(late);
      waits.textContent = "";
    }
  }
  show(page);
}

function show(page) {
  const open = new Set([...document.querySelectorAll(".outcome details[open]")].map(foldName));
  const wrong = page.querySelector("#problems") !== null;
  for (const place of told) {
    const fresh = page.querySelector(`[data-told="${place.dataset.told}"]`);
    const kept = wrong && place.dataset.told !== "wrong" && place.children.length > 0;
    place.toggleAttribute("data-stale", kept);
    if (kept) continue;
    place.replaceChildren(...[...fresh.childNodes].map((node) => document.adoptNode(node)));
  }
  const next = document.querySelector("[data-next]");
  if (next) next.hidden = wrong || !document.querySelector("[data-told=plan] figure");
  const old = document.querySelector("[data-old]");
  if (old) old.hidden = !document.querySelector("[data-stale] .lead");
  for (const each of document.querySelectorAll(".outcome details")) if (open.has(foldName(each))) each.open = true;
  for (const place of form.querySelectorAll("[data-field]")) tellWrong(place, page);
}

// What is wrong with a field stands at it; the field itself is never touched while it is typed in.
// An answer to typing brings those fields alone that something is wrong with.
function tellWrong(place, page) {
  const name = place.dataset.field;
  place.querySelector(`[id="${name}-wrong"]`)?.remove();
  const fresh = page.querySelector(`[data-field="${name}"]`);
  const said = fresh?.querySelector(`[id="${name}-wrong"]`);
  if (said) place.firstElementChild.append(document.adoptNode(said));
  const control = place.querySelector("input:not([type=radio]), select, fieldset");
  const invalid = said && fresh.querySelector("[aria-invalid]") !== null;
  const about = [`${name}-hint`, `${name}-wrong`].filter((id) => place.querySelector(`[id="${id}"]`));
  const marks = { "aria-invalid": invalid ? "true" : "", "aria-describedby": about.join(" ") };
  for (const [attribute, value] of Object.entries(marks)) {
    if (value) control.setAttribute(attribute, value);
    else control.removeAttribute(attribute);
  }
}

fitShape();
form.querySelector("[data-plainly]").hidden = true;
form.addEventListener("input", (event) => {
  if (event.target.name === "shape") fitShape();
  clearTimeout(timer);
  const typed = event.target.matches("input:not([type=radio], [type=checkbox])");
  timer = setTimeout(ask, typed ? WAIT_MS : 0);
});
form.addEventListener("submit", (event) => {
  if (event.submitter?.formAction && new URL(event.submitter.formAction).pathname !== form.getAttribute("action")) return;
  event.preventDefault();
  ask();
});
