// Looks again for an answer that is being worked out, and puts it in place of the waiting line.
const AGAIN_MS = 1000;

async function again() {
  const answer = await fetch(location.href, { headers: { accept: "text/html" } });
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  const line = fresh.querySelector("[data-waiting]");
  if (!line) {
    document.title = fresh.title;
    document.querySelector("main").replaceWith(document.adoptNode(fresh.querySelector("main")));
    return;
  }
  document.querySelector("[data-waiting]").textContent = line.textContent;
  setTimeout(again, AGAIN_MS);
}

if (document.querySelector("[data-waiting]")) setTimeout(again, AGAIN_MS);
