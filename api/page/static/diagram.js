// The one-line diagram: drawn by the service, shown here to be looked at, walked through and folded.

import { button, byId, fill, h, s } from "./dom.js";
import { drawn } from "./drawing.js";
import { componentOf, on, select, setView, sourcesOf, state, tell } from "./model.js";
import { differences } from "./differences.js";
import { fedBy, foldable, toggleFold, foldOthers } from "./folding.js";
import { drawMap, moveMap } from "./minimap.js";
import { pinch } from "./pinching.js";
import { centre, drag } from "./scrolling.js";
import { move } from "./walking.js";

const READABLE = 4.8;  // pixels a millimetre: letters of 2.3 mm are then 11 pixels high
const JUST_READABLE = 4.1;
const LEAST = 0.6, MOST = 16;

let root = null;
let zoom = READABLE;
let fresh = true;

const view = () => byId("view");

export function startDiagram() {
  tools();
  on("diagram", show);
  on("diagram-stale", () => byId("diagram").classList.add("stale"));
  on("document", ({ origin }) => { if (origin === "begin") fresh = true; });
  on("selection", mark);
  on("rating", () => byId("tools").replaceChildren(...bar()));
  on("reveal", reveal);
  on("base", markChanges);
  view().addEventListener("scroll", () => moveMap(view()), { passive: true });
  view().addEventListener("wheel", wheel, { passive: false });
  new ResizeObserver(() => root && drawMap(root, view())).observe(view());
  drag(view());
  pinch(view(), (by, at) => { if (root) scale(zoom * by, at); });
}

function tools() { fill(byId("tools"), bar()); }

function bar() {
  const id = state.selected;
  const folded = id !== null && state.folded.includes(id);
  return [
    button("−", () => scale(zoom / 1.25), { "aria-label": "zoom out" }),
    button("+", () => scale(zoom * 1.25), { "aria-label": "zoom in" }),
    button("Fit", fit, { "aria-label": "show the whole diagram" }),
    button(folded ? "Unfold branch" : "Fold branch", () => toggleFold(id), { disabled: id === null || !(folded || foldable(id)), id: "fold" }),
    state.folded.length ? button("Unfold all", () => setView("folded", []), { id: "unfold" })
      : button("Only what limits", foldOthers, { id: "fold-others", disabled: !state.rating }),
    h("label", { class: "choice" }, h("span", {}, "Symbols"), symbols()),
  ];
}

function symbols() {
  const option = (value, words) => h("option", { value, selected: state.symbols === value }, words);
  return h("select", { id: "symbols", onchange: (event) => setView("symbols", event.target.value) }, option("ansi", "ANSI"), option("iec", "IEC"));
}

function show(text) {
  const before = { left: view().scrollLeft, top: view().scrollTop };
  const focused = document.activeElement?.closest?.("[data-component]")?.dataset.component;
  root = drawn(text);
  root.setAttribute("role", "group");
  root.removeAttribute("height");
  fill(view(), root);
  for (const node of root.querySelectorAll("[data-component]")) prepare(node);
  byId("diagram").classList.remove("stale");
  if (fresh) begin();
  else { size(); view().scrollTo(before); }
  root.querySelector("[data-component]")?.setAttribute("tabindex", "0");
  mark();
  markChanges();
  tools();
  if (focused) nodeOf(focused)?.focus({ preventScroll: true });
  tell("drawn");
}

function prepare(node) {
  const box = node.getBBox();
  const hit = s("rect", { class: "hit", x: box.x - 1, y: box.y - 0.5, width: box.width + 2, height: box.height + 1, rx: 1 });
  node.insertBefore(hit, node.firstChild);
  node.setAttribute("role", "button");
  node.setAttribute("tabindex", "-1");
  node.setAttribute("aria-label", label(node));
  node.addEventListener("click", () => choose(node.dataset.component));
  node.addEventListener("dblclick", () => toggleFold(node.dataset.component));
  node.addEventListener("keydown", (event) => keyed(event, node.dataset.component));
}

function label(node) {
  const words = node.querySelector("title")?.textContent ?? node.dataset.component;
  return node.classList.contains("limits") ? `${words}; holds the rating down` : words;
}

function choose(id) {
  select(id.replace(/:upstream$/, ""), "diagram");
  tools();
}

function keyed(event, id) {
  if (event.key === "Enter" || event.key === " ") choose(id);
  else if (event.key === "f") toggleFold(id);
  else if (event.key === "+") scale(zoom * 1.25);
  else if (event.key === "-") scale(zoom / 1.25);
  else {
    const next = move(event.key, id, (name) => nodeOf(name) !== null, fedBy);
    if (next === null) return;
    focusOn(next);
  }
  event.preventDefault();
}

function focusOn(id) {
  const node = nodeOf(id);
  root.querySelector('[tabindex="0"]')?.setAttribute("tabindex", "-1");
  node.setAttribute("tabindex", "0");
  node.focus({ preventScroll: true });
  centre(view(), root, node, "nearest");
}

const nodeOf = (id) => root?.querySelector(`[data-component="${CSS.escape(id)}"]`) ?? null;

function begin() {
  fresh = false;
  const { width } = root.viewBox.baseVal;
  const marked = root.querySelector(".limits, .withholds");
  const deep = marked ? marked.getBBox().y + marked.getBBox().height : 0;
  const whole = (view().clientHeight - 24) / deep;  // down to what holds the rating, if that can still be read
  const larger = parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;  // letters grow with the window
  const readable = larger * Math.max(JUST_READABLE, Math.min(READABLE, whole / larger));
  zoom = Math.max(readable, Math.min(6.5 * larger, (view().clientWidth - 24) / width));
  size();
  view().scrollTo(0, 0);
  if (marked) centre(view(), root, marked, "start");
}

function size() {
  root.setAttribute("width", Math.round(root.viewBox.baseVal.width * zoom));
  drawMap(root, view());
}

/** Zoom; what is under the pointer, or in the middle, stays where it is. */
function scale(wanted, at = { x: view().clientWidth / 2, y: view().clientHeight / 2 }) {
  const next = Math.min(MOST, Math.max(LEAST, wanted));
  const by = next / zoom;
  const left = (view().scrollLeft + at.x) * by - at.x;
  const top = (view().scrollTop + at.y) * by - at.y;
  zoom = next;
  size();
  view().scrollTo(left, top);
}

function fit() {
  const { width, height } = root.viewBox.baseVal;
  zoom = Math.max(LEAST, Math.min(MOST, (view().clientWidth - 24) / width, (view().clientHeight - 24) / height));
  size();
}

function wheel(event) {
  if (!event.ctrlKey || !root) return;  // without it the wheel moves the page, as everywhere
  event.preventDefault();
  const box = view().getBoundingClientRect();
  scale(zoom * Math.exp(-event.deltaY / 400), { x: event.clientX - box.left, y: event.clientY - box.top });
}

function mark() {
  for (const node of root?.querySelectorAll("[data-component]") ?? []) {
    const chosen = node.dataset.component === state.selected;
    node.classList.toggle("chosen", chosen);
    node.setAttribute("aria-pressed", chosen);
  }
  tools();
}

function markChanges() {
  if (!root) return;
  const changed = differences().ids;
  for (const node of root.querySelectorAll("[data-component]")) {
    const was = node.querySelector(".delta");
    const is = changed.has(node.dataset.component);
    node.classList.toggle("changed", is);
    if (is && !was) {
      const box = node.querySelector(".hit").getBBox();
      node.append(s("text", { class: "delta", x: box.x + box.width - 1, y: box.y + box.height + 3, "font-size": 3, "text-anchor": "end" }, "changed"));
    }
  }
}

/** Bring a component into view; where it is folded away, what stands for it. */
function reveal(id) {
  let shown = id;
  while (shown && !nodeOf(shown)) shown = sourcesOf(componentOf(shown))[0] ?? null;
  if (shown) centre(view(), root, nodeOf(shown), "nearest");
}
