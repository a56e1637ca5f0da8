// Sends what a form holds by script, and reads what is wrong with it off the page that comes back.
const PATIENCE_MS = 20_000;
const PHOTO_PATIENCE_MS = 120_000;

function body(item) {
  const made = item.multipart ? new FormData() : new URLSearchParams();
  for (const [name, value] of item.fields) made.append(name, value);
  for (const [name, value] of item.files) if (item.multipart) made.append(name, value, value.name);
  return made;
}

// Where it can be seen that it was kept, or the page that says what is wrong; undefined without an answer.
export async function sendOne(item) {
  try {
    const answer = await fetch(item.action, {
      method: "POST", body: body(item), headers: { "x-watervane-outbox": "1" }, redirect: "error",
      signal: AbortSignal.timeout(item.files.length ? PHOTO_PATIENCE_MS : PATIENCE_MS),
    });
    const page = await answer.text();
    return { kept: answer.headers.get("x-watervane-kept"), status: answer.status, page };
  } catch {
    return undefined;
  }
}

export function wrongsOf(page) {
  const read = new DOMParser().parseFromString(page, "text/html");
  const wrong = {};
  for (const each of read.querySelectorAll("main [id$='-wrong']")) {
    wrong[each.id.replace(/-wrong$/, "")] = [...each.querySelectorAll("p")].map((line) => line.textContent);
  }
  const loose = [...read.querySelectorAll("#problems li")].filter((each) => !each.querySelector("a"));
  const tick = read.querySelector("main input[name^='sure-']"); // what was asked, and may be so
  const sure = tick ? { name: tick.name, text: tick.closest("label").textContent.trim() } : undefined;
  return { read, wrong, loose: loose.map((each) => each.textContent), sure };
}

// The page that says what is wrong, in the place of the one that sent it.
export function shownInstead(page) {
  const { read } = wrongsOf(page);
  document.title = read.title;
  document.querySelector("main").replaceWith(document.adoptNode(read.querySelector("main")));
  const here = document.getElementById("problems") ?? document.querySelector("main [data-look-here]");
  (here ?? document.querySelector("main")).focus();
}
