const { spec, config } = JSON.parse(document.getElementById("picture").textContent);
const LEVEL_LABELS = 44;
const host = document.getElementById("chart");
let drawing = Promise.resolve();
let drawnWidth = 0;

function sized(width) {
  const copy = structuredClone(spec);
  const sides = copy.padding.left + copy.padding.right + LEVEL_LABELS;
  for (const view of copy.vconcat) view.width = Math.max(120, width - sides);
  return copy;
}

function draw() {
  const width = host.clientWidth;
  if (Math.abs(width - drawnWidth) < 2) return;
  drawnWidth = width;
  drawing = drawing.then(() =>
    vegaEmbed(host, sized(width), {
      ast: true, actions: false, defaultStyle: false, renderer: "svg", tooltip: false, config,
    }),
  );
}

draw();
addEventListener("resize", lodashDebounce.default ? lodashDebounce.default(draw, 120) : lodashDebounce(draw, 120));
