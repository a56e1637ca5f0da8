// Draws every figure that names its data, and draws it anew when its width changes.
const LEVEL_LABELS = 44;
const debounce = lodashDebounce.default ?? lodashDebounce;

function sized(spec, width) {
  const copy = structuredClone(spec);
  const sides = copy.padding.left + copy.padding.right + LEVEL_LABELS;
  for (const view of copy.vconcat) view.width = Math.max(120, width - sides);
  return copy;
}

async function bring(figure) {
  // Without a network the still drawing stays.
  const answer = await fetch(figure.dataset.drawing).catch(() => null);
  if (!answer?.ok) return;
  const told = await answer.json().catch(() => null);
  if (!told) return;
  const { spec, config, days } = told;
  const still = figure.querySelector("[data-still]");
  const host = document.createElement("div");
  host.className = "living";
  host.setAttribute("role", "img");
  host.setAttribute("aria-label", figure.dataset.description);
  still.before(host);
  let drawnWidth = 0, drawing = Promise.resolve();
  const draw = () => {
    const width = figure.clientWidth;
    if (Math.abs(width - drawnWidth) < 2) return;
    drawnWidth = width;
    drawing = drawing.then(() => vegaEmbed(host, sized(spec, width), {
      ast: true, actions: false, defaultStyle: false, renderer: "svg", tooltip: false, config,
    })).then((drawn) => {
      still.hidden = true;
      const detail = { view: drawn.view, days };
      figure.dispatchEvent(new CustomEvent("watervane-drawn", { detail, bubbles: true }));
      return drawn;
    });
  };
  draw();
  addEventListener("resize", debounce(draw, 120));
  // New rows for a view that lives on; of those that come while one is drawn the last ones count.
  figure.addEventListener("watervane-rows", ({ detail }) => {
    Object.assign(spec.datasets, detail);
    drawing = drawing.then((drawn) => {
      for (const [name, rows] of Object.entries(detail)) drawn.view.data(name, structuredClone(rows));
      return drawn.view.runAsync().then(() => drawn);
    });
  });
}

function bringAll() {
  for (const figure of document.querySelectorAll("figure[data-drawing]")) {
    if (!figure.querySelector(".living")) bring(figure);
  }
}

bringAll();
addEventListener("watervane-renewed", bringAll);
