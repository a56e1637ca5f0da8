// Follows the worker: progress lines as they change, and what is new put in place by itself.
// Everything works without this file; then a page shows what was known when it was opened.
const lines = () => document.querySelectorAll("[data-work]");

async function renew() {
  const answer = await fetch(location.href, { headers: { accept: "text/html" } });
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  const open = [...document.querySelectorAll("details[open] > summary")].map((each) => each.textContent);
  const held = document.activeElement?.id;
  const top = scrollY;
  for (const part of document.querySelectorAll("[data-live]")) {
    const other = fresh.querySelector(`[data-live="${part.dataset.live}"]`);
    if (other) part.replaceWith(document.adoptNode(other));
  }
  for (const each of document.querySelectorAll("details > summary")) {
    if (open.includes(each.textContent)) each.parentElement.open = true;
  }
  if (held) document.getElementById(held)?.focus({ preventScroll: true });
  scrollTo({ top, behavior: "instant" });
  dispatchEvent(new Event("watervane-renewed"));
}

function follow() {
  const events = new EventSource("/work");
  let made;
  events.onmessage = ({ data }) => {
    const told = JSON.parse(data);
    for (const each of lines()) {
      const line = told[each.dataset.work]?.line ?? "";
      if (each.textContent !== line) each.textContent = line;
    }
    const keys = [...lines()].map((each) => each.dataset.work);
    const now = keys.map((key) => told[key]?.made ?? "").join();
    if (made !== undefined && made !== now) renew();
    made = now;
  };
  addEventListener("pagehide", () => events.close());
  addEventListener("pageshow", (shown) => { if (shown.persisted) location.reload(); });
}

if (lines().length) follow();

// Pictures further down are fetched once what is seen first is there, and whatever is printed.
function bringPictures() {
  for (const each of document.querySelectorAll("img[loading=lazy]")) each.loading = "eager";
}

addEventListener("beforeprint", bringPictures);
if (document.readyState === "complete") bringPictures();
else addEventListener("load", bringPictures);
addEventListener("watervane-renewed", bringPictures);
