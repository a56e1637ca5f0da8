// Forms that cannot wait: without a network they say so, and keep what was typed, in this window
// even when it is loaded anew.
import { sendOne, shownInstead } from "./sending.js";

const band = document.getElementById("outbox");
const NAME = (form) => `watervane-typed ${location.pathname} ${form.getAttribute("action")}`;

function typedIn(form) {
  return [...new FormData(form)].filter(([, value]) => typeof value === "string");
}

function store(form) {
  try {
    sessionStorage.setItem(NAME(form), JSON.stringify(typedIn(form)));
  } catch {
    // a browser that keeps nothing: what was typed stands in the form all the same
  }
}

function fillIn(form) {
  let typed;
  try {
    typed = JSON.parse(sessionStorage.getItem(NAME(form)) ?? "[]");
    sessionStorage.removeItem(NAME(form));
  } catch {
    return;
  }
  for (const [name, value] of typed) {
    const field = form.elements[name];
    if (field && field.type !== "file") field.value = value;
    const fold = field?.closest?.("details");
    if (fold && value) fold.open = true;
  }
}

function tell(form) {
  let said = form.querySelector("[data-part='online']");
  if (!said) {
    said = Object.assign(document.createElement("p"), { className: "wrong", tabIndex: -1 });
    said.dataset.part = "online";
    said.setAttribute("role", "alert");
    form.append(said);
  }
  said.textContent = band.dataset.online;
  said.focus();
}

async function send(form) {
  const fields = typedIn(form);
  const files = [...new FormData(form)].filter(([, value]) => typeof value !== "string" && value.size);
  form.setAttribute("aria-busy", "true");
  const multipart = form.enctype === "multipart/form-data";
  const answer = await sendOne({ action: form.getAttribute("action"), fields, files, multipart });
  form.removeAttribute("aria-busy");
  if (answer?.kept) {
    sessionStorage.removeItem(NAME(form));
    const next = new URL(answer.kept, location.href);
    const same = next.pathname + next.search === location.pathname + location.search;
    location.assign(next);
    if (same) location.reload();
  } else if (answer) shownInstead(answer.page);
  else {
    store(form);
    tell(form);
  }
}

document.addEventListener("submit", (event) => {
  if (!event.target.matches("form[data-online]")) return;
  event.preventDefault();
  if (!event.target.hasAttribute("aria-busy")) send(event.target);
});
for (const form of document.querySelectorAll("form[data-online]")) fillIn(form);
