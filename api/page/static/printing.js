// A wide diagram on paper: cut between columns into strips, one below the other, each as large as it can be read.

import { byId, fill, h } from "./dom.js";

const PAPER = 182;  // millimetres between the margins of a sheet; a millimetre of the drawing is one of the paper
const WIRE = 9;

export function startPrinting() {
  addEventListener("beforeprint", () => { const root = byId("view").querySelector("svg"); fill(byId("strips"), root ? strips(root) : []); });
  addEventListener("afterprint", () => fill(byId("strips")));
}

function strips(root) {
  const { width, height } = root.viewBox.baseVal;
  if (width <= PAPER * 1.25) return [];  // it can be read in one piece
  const edges = [0, ...cuts(root, width), width];
  return edges.slice(1).map((end, number) => h("figure", {}, h("figcaption", {}, `Diagram, strip ${number + 1} of ${edges.length - 1}, from left to right`), strip(root, edges[number], end, height)));
}

/** Where to cut: as far along as the paper reaches, and through no component. */
function cuts(root, width) {
  const boxes = [...root.querySelectorAll("[data-component]")].map((node) => node.getBBox()).sort((a, b) => a.x - b.x);
  const gaps = [];
  let end = 0;
  for (const box of boxes) {
    if (box.x > end && end > 0) gaps.push((end + box.x) / 2);
    end = Math.max(end, box.x + box.width);
  }
  const found = [];
  for (let start = 0; width - start > PAPER;) {
    const next = gaps.filter((gap) => gap > start && gap - start <= PAPER).at(-1) ?? start + PAPER;
    found.push(next);
    start = next;
  }
  return found;
}

function strip(root, start, end, height) {
  const part = root.cloneNode(true);
  const shown = [...part.querySelectorAll("[data-component]")];
  const originals = [...root.querySelectorAll("[data-component]")];
  // Each component stands on one strip only; and the strip is as tall as what stands on it, with the wire that leads there.
  let highest = height, lowest = 0;
  originals.forEach((node, number) => {
    const box = node.getBBox(), middle = box.x + box.width / 2;
    if (middle < start || middle >= end) shown[number].remove();
    else { highest = Math.min(highest, box.y); lowest = Math.max(lowest, box.y + box.height); }
  });
  const top = Math.max(0, highest - WIRE), tall = Math.min(height, lowest + 4) - top;
  part.setAttribute("viewBox", `${start} ${top} ${end - start} ${tall}`);
  part.setAttribute("width", `${end - start}mm`);
  part.setAttribute("height", `${tall}mm`);
  return part;
}
