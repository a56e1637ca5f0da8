// An answer that opens near the foot of the screen comes into view. Without this file it opens below.
const MOST_DOWN = 0.5; // of the screen: a heading further down leaves too little room for its answer

document.addEventListener(
  "toggle",
  ({ target }) => {
    if (!target.open || !target.matches(".aid details")) return;
    const top = target.getBoundingClientRect().top;
    if (top >= 0 && top < innerHeight * MOST_DOWN) return;
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    target.scrollIntoView({ block: "start", behavior: still ? "instant" : "smooth" });
  },
  true, // this event does not rise
);
