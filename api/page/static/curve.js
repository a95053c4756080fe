// The fault current over the length of a run.

import { amperes } from "./amounts.js";
import { h, s } from "./dom.js";

const WIDTH = 420, HEIGHT = 200, LEFT = 64, BOTTOM = 34, TOP = 14, RIGHT = 14;

/** Return the curve through points [length, amperes], with a table of the same for who cannot see it. */
export function curve(points, unit) {
  if (points.length < 2) return null;
  const longest = points.at(-1)[0], most = Math.max(...points.map(([, value]) => value)) * 1.08;
  const x = (length) => LEFT + ((WIDTH - LEFT - RIGHT) * length) / longest;
  const y = (value) => HEIGHT - BOTTOM - ((HEIGHT - BOTTOM - TOP) * value) / most;
  const line = points.map(([length, value]) => `${x(length).toFixed(1)},${y(value).toFixed(1)}`).join(" ");
  const [first, last] = [points[0], points.at(-1)];
  const told = `Fault current over the length of the run: ${amperes(first[1])} at ${first[0]} ${unit}, ${amperes(last[1])} at ${last[0]} ${unit}`;
  return h("figure", { class: "curve" }, s("svg", { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img", "aria-label": told },
    [0, 0.25, 0.5, 0.75, 1].map((share) => level(most * share, y)), [0, 0.25, 0.5, 0.75, 1].map((share) => s("text", { class: "mark", x: x(longest * share), y: HEIGHT - 16, "text-anchor": "middle" }, short(longest * share))),
    s("text", { class: "mark", x: WIDTH - RIGHT, y: HEIGHT - 2, "text-anchor": "end" }, `length, ${unit}`),
    s("polyline", { class: "run", points: line }), points.map(([length, value]) => s("circle", { class: "point", cx: x(length), cy: y(value), r: 3 }, s("title", {}, `${short(length)} ${unit}: ${amperes(value)}`)))),
    h("details", {}, h("summary", {}, "As a table"), h("table", {}, h("thead", {}, h("tr", {}, h("th", { scope: "col" }, `Length, ${unit}`), h("th", { scope: "col" }, "Fault current"))),
      h("tbody", {}, points.map(([length, value]) => h("tr", {}, h("td", {}, short(length)), h("td", {}, amperes(value))))))));
}

function level(value, y) {
  return [s("line", { class: "grid", x1: LEFT, x2: WIDTH - RIGHT, y1: y(value), y2: y(value) }), s("text", { class: "mark", x: LEFT - 6, y: y(value) + 4, "text-anchor": "end" }, amperes(Math.round(value / 100) * 100))];
}

const short = (value) => String(Number(value.toPrecision(3)));
