// The rating as a bar on a logarithmic scale, with what it has to cover and a tick for every component.
// Places are in percent of the width, so that the drawing follows the window without being drawn again.

import { logScale } from "./amounts.js";
import { byId, fill, h, s } from "./dom.js";
import { on, select, state, tell } from "./model.js";

const MOST_STACKED = 6;

// Everything is measured by the size of the letters, which grows with the window. Each flag has a row of its own.
let UNIT = 16, ROW = 17, THICK = 18, STACK = 9, TOP = 30, WIDTH = 600;

function measure(flags) {
  UNIT = parseFloat(getComputedStyle(document.documentElement).fontSize);
  ROW = UNIT * 1.05; THICK = UNIT * 1.1; STACK = UNIT * 0.55; TOP = UNIT * 0.4 + ROW * flags;
  WIDTH = byId("scale").clientWidth;
}

export function startScale() {
  on("rating", show);
  on("selection", mark);
  // Whether the words of a flag stand to the right or to the left of it is a matter of the width.
  new ResizeObserver(() => { if (byId("scale").clientWidth !== WIDTH) show(); }).observe(byId("scale"));
}

function show() {
  const place = byId("scale");
  const { rating } = state;
  if (!rating) return fill(place);
  const worth = rating.components.filter((each) => each.value);
  const wanted = wants(rating.adequacy);
  measure(wanted.length);
  const scale = logScale([...worth.map(valueOf), ...wanted.map((each) => each.amperes), rating.rating?.current_amperes ?? 0]);
  const at = (amperes) => `${(2 + 96 * scale.at(amperes)).toFixed(2)}%`;
  const stacked = ticks(worth, at, scale);
  const height = TOP + THICK + 4 + STACK * Math.min(MOST_STACKED, stacked.most) + 2 * UNIT;
  fill(place, h("h2", { class: "unseen" }, "The rating against what it has to cover"),
    s("svg", { class: "scale", width: "100%", height, role: "img", "aria-label": words(rating, wanted, worth) },
      axis(scale, at, height), bar(rating, at, scale), stacked.nodes, wanted.map((each, row) => flag(each, at, row))));
  for (const text of place.querySelectorAll(".want text")) keepInside(text);
  mark();
}

const valueOf = (component) => (component.after_credit ?? component.value).current_amperes;

function wants({ supplies, target }) {
  const found = supplies.map((each) => ({ amperes: each.current_amperes, words: `available ${each.current}`, at: each.supply, adequate: each.adequate, exceeded: each.exceeded.length > 0 }));
  if (target) found.push({ amperes: target.current_amperes, words: `target ${target.current}`, at: null, adequate: target.adequate });
  if (supplies.length > 1) for (const each of found) if (each.at) each.words += ` at ${each.at}`;
  for (const each of found) if (each.exceeded) each.words += ", not at its X/R";
  return found.sort((one, other) => one.amperes - other.amperes);  // so that no line runs through the words to its left
}

function axis(scale, at, height) {
  return scale.marks.map((mark) => [
    s("line", { class: "grid", x1: at(mark), x2: at(mark), y1: TOP, y2: height - UNIT }),
    s("text", { class: "mark", x: at(mark), y: height - 3, "text-anchor": "middle" }, `${mark / 1000}`),
  ]).concat([[s("text", { class: "mark", x: "0", y: height - 3 }, "kA")]]);
}

function bar(rating, at) {
  const filled = rating.rating ? s("rect", { class: "worth", x: "0", y: TOP, width: at(rating.rating.current_amperes), height: THICK }) : null;
  return [s("rect", { class: "room", x: "0", y: TOP, width: "100%", height: THICK }), filled];
}

/** Return a flag at what has to be covered; where it is not, the sign says so as well as the colour. */
function flag(each, at, row) {
  const label = `${each.adequate ? "✓" : "✕"} ${each.words}`;
  const y = ROW * (row + 1) - UNIT * 0.2;
  return s("g", { class: each.adequate ? "want covers" : "want short" },
    s("line", { x1: at(each.amperes), x2: at(each.amperes), y1: y - UNIT * 0.7, y2: TOP + THICK + 2 }),
    s("text", { x: at(each.amperes), dx: 5, y }, label));
}

/** Words that would not end inside stand to the left of their line, or as far to the left as they need. */
function keepInside(text) {
  const { x, width } = text.getBBox();
  if (x + width <= WIDTH) return;
  text.setAttribute("dx", x - width > 10 ? -width - 5 : 5 + WIDTH - x - width);
}

/** Return a tick for each component, those of one value below each other. */
function ticks(worth, at) {
  const stacks = new Map();
  const limits = new Set(state.rating.limited_by.map((each) => each.component));
  const nodes = worth.map((component) => {
    const value = valueOf(component);
    const level = stacks.get(value) ?? 0;
    stacks.set(value, level + 1);
    const y = TOP + THICK + 4 + STACK * Math.min(level, MOST_STACKED - 1);
    const holds = limits.has(component.id);
    const choose = () => { select(component.id); tell("reveal", component.id); };
    return s("g", { class: holds ? "tick limits" : "tick", "data-tick": component.id, onclick: choose },
      s("title", {}, `${component.id}: ${component.because}`),
      s("svg", { x: at(value), y, width: 1, height: 7, overflow: "visible" }, s("g", { transform: `scale(${UNIT / 16})` },
        holds ? s("path", { d: "M-5 7 L5 7 L0 -1 Z" }) : s("rect", { x: -3, y: 0, width: 6, height: 6, rx: 1 }))));
  });
  return { nodes, most: Math.max(1, ...stacks.values()) };
}

function words(rating, wanted, worth) {
  const rated = rating.rating ? `Rated ${rating.rating.text}` : "No rating";
  const told = wanted.map((each) => `${each.words}${each.adequate ? ", covered" : ", not covered"}`);
  return [rated, ...told, `${worth.length} components have a value; the list Parts tells each`].join(". ");
}

function mark() {
  for (const tick of document.querySelectorAll("[data-tick]")) tick.classList.toggle("chosen", tick.dataset.tick === state.selected);
}
