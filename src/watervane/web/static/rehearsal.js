// Sliders beside the number fields; each move asks for the plan anew, and the newest one wins.
// What some of the imagined tanks come to is shown at once, and said to be so; all of them follow.
// Without this file the form is sent by its button, and comes back as a page.
const WAIT_MS = 90;
const SLID_TIMES = 5;
const form = document.querySelector("form[data-plan]");
const told = [...document.querySelectorAll("[data-told]")];
const line = document.querySelector("[data-line]");
const figure = document.querySelector(".outcome figure");
const mine = crypto.getRandomValues(new Uint32Array(2)).join("-");
let asked = new AbortController(), timer;

function addSlider(place) {
  const field = place.querySelector("input");
  const slider = document.createElement("input");
  slider.type = "range";
  slider.setAttribute("aria-labelledby", `${field.id}-label`);
  slider.setAttribute("aria-describedby", `${field.id}-unit`);
  const fit = () => {
    for (const name of ["min", "max", "step"]) slider[name] = place.dataset[{ min: "least", max: "most", step: "step" }[name]];
    slider.value = field.value.replace(",", ".") || slider.min;
  };
  fit();
  place.prepend(slider);
  slider.addEventListener("input", () => { field.value = slider.value; });
  field.addEventListener("input", fit);
  place.fit = fit;
}

function choose(select) {
  const kind = select.selectedOptions[0];
  const [size, day] = select.closest("fieldset").querySelectorAll("[data-slider]");
  const sized = kind.dataset.unit, none = select.value === "none";
  size.closest(".field").hidden = !sized;
  day.closest(".field").hidden = none;
  if (none || size.dataset.kind === select.value) return;
  const usual = Number(kind.dataset.usual), least = Number(kind.dataset.least);
  const before = size.dataset.kind !== undefined || !size.querySelector("input:not([type=range])").value;
  Object.assign(size.dataset, {
    kind: select.value, least, step: Math.min(least, 1), most: Math.min(Number(kind.dataset.most), SLID_TIMES * usual),
  });
  if (before) size.querySelector("input:not([type=range])").value = usual;
  size.querySelector(".unit").textContent = sized;
  size.fit();
}

function showOwn() {
  form.querySelector(".own").hidden = form.elements["as-planned"].checked;
}

function query() {
  return new URLSearchParams(new FormData(form));
}

async function ask() {
  asked.abort();
  const here = asked = new AbortController();
  const wanted = query();
  history.replaceState(null, "", `?${wanted}`);
  wanted.set("window", mine);
  let looked = "";
  for (const each of told) {
    each.setAttribute("aria-busy", "true");
    each.classList.remove("looked");
  }
  if (figure.dataset.later === undefined) wanted.set("first", "1"); // a drawing begins with all of them
  try {
    for (;;) {
      const answer = await fetch(`${form.dataset.plan}?${wanted}`, { signal: here.signal });
      if (!answer.ok) break;
      const found = await answer.json();
      if (here.signal.aborted || found.overtaken) return;
      line.textContent = looked || (found.line ?? found.first ?? "");
      if (found.line !== undefined) continue;
      show(found);
      if (found.first === undefined) break;
      looked = found.first;
      for (const each of told) each.classList.add("looked");
      wanted.delete("first");
    }
  } catch (error) {
    if (error.name === "AbortError") return;
  }
  line.textContent = "";
  for (const each of told) each.removeAttribute("aria-busy");
}

function show({ words, rows, wrong, description }) {
  for (const each of told) {
    const fresh = new DOMParser().parseFromString(words[each.dataset.told], "text/html");
    each.replaceChildren(...[...fresh.body.childNodes].map((node) => document.adoptNode(node)));
  }
  for (const field of form.querySelectorAll("input:not([type=range]), select")) {
    if (wrong?.includes(field.name)) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
  if (!rows) return;
  if (figure.dataset.later !== undefined) {
    figure.dataset.drawing = `${figure.dataset.later}?${query()}`;
    delete figure.dataset.later;
    figure.hidden = false;
    figure.dataset.description = description;
    dispatchEvent(new Event("watervane-renewed"));
    return;
  }
  figure.querySelector(".living")?.setAttribute("aria-label", description);
  figure.dispatchEvent(new CustomEvent("watervane-rows", { detail: rows }));
}

for (const place of form.querySelectorAll("[data-slider]")) addSlider(place);
for (const select of form.querySelectorAll("[data-mishap] select")) {
  const size = select.closest("fieldset").querySelector("[data-slider]");
  if (select.value !== "none") size.dataset.kind = select.value;
  select.addEventListener("change", () => choose(select));
  choose(select);
}
showOwn();
form.querySelector("[data-plainly]").hidden = true;
form.addEventListener("input", (event) => {
  if (event.target.name === "as-planned") showOwn();
  clearTimeout(timer);
  timer = setTimeout(ask, WAIT_MS);
});
form.addEventListener("submit", (event) => { event.preventDefault(); ask(); });
if (line.textContent) ask();
