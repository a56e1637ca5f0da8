// The days of a drawn forecast: moved along one by one, and drawn closer. The drawing lives on; only
// its days and the chosen one change. Without this file the drawing and the tables tell the same.
const DAY_MS = 86_400_000;
const LEAST_DAYS = 3;
const STEPS = [1, 2, 7, 14, 28, 56];
const MOST_TICKS = 9;
const STILL_MS = 300; // that a still drawing is waited for before the living one is begun
const held = new WeakMap(); // what is known of a figure
const left = new Map(); // where a page was left when its parts were renewed

const midnight = (ms) => Math.floor(ms / DAY_MS) * DAY_MS;
const iso = (ms) => new Date(ms).toISOString().slice(0, 10);

function ticks(begin, end) {
  const step = STEPS.find((each) => (end - begin) / DAY_MS / each <= MOST_TICKS) ?? STEPS.at(-1);
  const found = [];
  for (let at = midnight(begin + DAY_MS - 1); at <= end; at += step * DAY_MS) found.push(at);
  return found;
}

class Days {
  constructor(figure, { days, asOf }, [first, last]) {
    Object.assign(this, { figure, days, asOf, first, last });
    this.box = figure.querySelector("[data-days]");
    this.slider = this.box.querySelector("input[type=range]");
    this.from = this.box.querySelector("[name=from]");
    this.to = this.box.querySelector("[name=to]");
    const before = left.get(figure.dataset.tank);
    this.shown = before?.shown ?? [first, last];
    this.at = this.nearest(before?.at ?? Date.parse(figure.dataset.today) + DAY_MS / 2);
    for (const field of [this.from, this.to]) {
      [field.min, field.max] = [iso(first), iso(last)];
      field.addEventListener("change", () => this.chosen());
    }
    this.slider.addEventListener("input", () => this.choose(Number(this.slider.value)));
    for (const button of this.box.querySelectorAll("[data-stretch]")) {
      const stretch = this.stretch(button.dataset.stretch);
      if (stretch && stretch[1] - stretch[0] < LEAST_DAYS * DAY_MS) button.hidden = true;
      button.addEventListener("click", () => this.draw(...this.stretch(button.dataset.stretch) ?? this.scaled(button.dataset.stretch)));
    }
    this.box.hidden = false;
  }

  // The living view, at first and whenever the window has made another one.
  hold(view) {
    this.view = view;
    const host = this.figure.querySelector(".living");
    const point = (event) => this.pointed(event);
    host.addEventListener("pointermove", point);
    host.addEventListener("pointerdown", point);
    this.draw(...this.shown, true);
  }

  stretch(name) {
    const middle = midnight(this.asOf), end = middle + 15 * DAY_MS;
    return {
      all: [this.first, this.last],
      before: [Math.max(this.first, middle - 14 * DAY_MS), Math.min(this.last, this.asOf + DAY_MS / 4)],
      ahead: [middle, Math.min(this.last, end)],
    }[name];
  }

  scaled(name) {
    const [begin, end] = this.shown;
    const span = Math.max(LEAST_DAYS * DAY_MS, (end - begin) * (name === "closer" ? 0.5 : 2));
    const begun = Math.max(this.first, this.days[this.at].at - span * (this.days[this.at].at - begin) / (end - begin));
    return [Math.max(this.first, Math.min(begun, this.last - span)), Math.min(this.last, begun + span)];
  }

  chosen() {
    const [begin, end] = [this.from, this.to].map((field) => field.valueAsNumber);
    if (Number.isNaN(begin) || Number.isNaN(end)) return;
    const wrong = end <= begin;
    const told = this.box.querySelector("[data-wrong]");
    told.hidden = !wrong;
    for (const field of [this.from, this.to]) field.setAttribute("aria-invalid", String(wrong));
    if (!wrong) this.draw(begin, end + DAY_MS);
  }

  draw(begin, end, quietly = false) {
    end = Math.min(this.last, Math.max(end, begin + LEAST_DAYS * DAY_MS));
    begin = Math.max(this.first, Math.min(begin, end - LEAST_DAYS * DAY_MS));
    this.shown = [begin, end];
    this.view.signal("begins", begin).signal("ends", end).signal("ticks", ticks(begin, end));
    const within = this.days.flatMap(({ at }, place) => (at >= begin && at <= end ? [place] : []));
    [this.slider.min, this.slider.max] = [within[0], within.at(-1)];
    [this.from.value, this.to.value] = [iso(begin), iso(end - 1)];
    for (const button of this.box.querySelectorAll("[data-stretch]")) {
      const stretch = this.stretch(button.dataset.stretch);
      if (stretch) button.setAttribute("aria-pressed", String(stretch.join() === this.shown.join()));
    }
    const told = this.box.querySelector("[data-drawn]");
    const [first, last] = [this.days[within[0]], this.days[within.at(-1)]];
    if (!quietly) told.textContent = told.dataset.drawn.replace("{first}", first.date).replace("{last}", last.date);
    this.choose(Math.min(Math.max(this.at, within[0]), within.at(-1)));
  }

  choose(place) {
    this.at = place;
    const { at, date, values, happened } = this.days[place];
    this.slider.value = place;
    this.slider.setAttribute("aria-valuetext", `${date}. ${values} ${happened}`.trim());
    for (const [name, text] of Object.entries({ date: `${date}:`, values, happened })) {
      this.box.querySelector(`[data-day=${name}]`).textContent = text;
    }
    left.set(this.figure.dataset.tank, { shown: this.shown, at });
    this.view.data("chosen", [{ t: at }]);
    this.view.runAsync().then(() => this.align());
  }

  pointed(event) {
    const plot = this.plot();
    const x = event.clientX - plot.left;
    if (x < -8 || x > plot.width + 8) return;
    const at = this.shown[0] + (x / plot.width) * (this.shown[1] - this.shown[0]);
    const place = this.nearest(at, Number(this.slider.min), Number(this.slider.max));
    if (place !== this.at) this.choose(place);
  }

  nearest(at, least = 0, most = this.days.length - 1) {
    let found = least;
    for (let place = least; place <= most; place += 1) {
      if (Math.abs(this.days[place].at - at) < Math.abs(this.days[found].at - at)) found = place;
    }
    return found;
  }

  plot() {
    return this.figure.querySelector(".living svg .role-scope .background").getBoundingClientRect();
  }

  // The slider's knob stands over the chosen day of the drawing.
  align() {
    const plot = this.plot(), around = this.slider.parentElement.getBoundingClientRect();
    const knob = 1.5 * parseFloat(getComputedStyle(document.documentElement).fontSize);
    const [begin, end] = this.shown;
    const along = (place) => ((this.days[place].at - begin) / (end - begin)) * plot.width;
    const [least, most] = [along(this.slider.min), along(this.slider.max)];
    this.slider.style.marginLeft = `${Math.max(0, plot.left - around.left + least - knob / 2)}px`;
    this.slider.style.width = `${most - least + knob}px`;
  }
}

addEventListener("watervane-drawn", ({ target, detail: { view, days } }) => {
  if (!days || !target.querySelector("[data-days]")) return;
  if (!held.has(target)) held.set(target, new Days(target, days, [view.signal("begins"), view.signal("ends")]));
  held.get(target).hold(view);
});

// The script that draws is large: it runs once the still drawing is seen, so that nothing waits for it.
const frame = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
const { draws } = document.querySelector("script[data-draws]").dataset;
let begun = false;

async function begin() {
  const still = document.querySelector("figure[data-drawing] [data-still]");
  if (begun || !still) return;
  begun = true;
  const late = new Promise((done) => setTimeout(done, STILL_MS));
  const image = still.querySelector("img"); // else it is a part of the page
  await Promise.race([late, image ? image.decode().then(frame, () => {}) : frame()]);
  import(draws).catch(() => { begun = false; });  // without a network the still drawing stays
}

begin();
addEventListener("watervane-renewed", begin);
