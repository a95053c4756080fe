// A small picture of a diagram that is larger than its window: where one is, and a quick way elsewhere.

import { byId, fill, s } from "./dom.js";

const WIDTH = 180, HIGHEST = 120;
let frame = null;

/** Draw the map of a diagram; it is hidden where the whole is seen anyway. */
export function drawMap(root, view) {
  const map = byId("minimap");
  const { width, height } = root.viewBox.baseVal;
  const whole = view.scrollWidth <= view.clientWidth + 2 && view.scrollHeight <= view.clientHeight + 2;
  map.hidden = whole;
  if (whole) return;
  const tall = Math.min(HIGHEST, Math.max(24, (WIDTH * height) / width));
  frame = s("rect", { class: "frame" });
  const marks = [...root.querySelectorAll("[data-component]")].map((node) => {
    const box = node.querySelector(".hit").getBBox();
    return s("rect", { class: node.classList.contains("path") ? "path" : "", x: box.x, y: box.y, width: box.width * 0.8, height: box.height * 0.8 });
  });
  fill(map, s("svg", { width: WIDTH, height: tall, viewBox: `0 0 ${width} ${height}`, preserveAspectRatio: "none", "aria-hidden": "true" }, marks, frame));
  map.onpointerdown = (event) => { map.setPointerCapture(event.pointerId); go(event, map, view); };
  map.onpointermove = (event) => { if (event.buttons) go(event, map, view); };
  moveMap(view);
}

/** Show which part of the diagram is seen. */
export function moveMap(view) {
  const box = frame?.ownerSVGElement?.viewBox.baseVal;
  if (!box) return;
  frame.setAttribute("x", (box.width * view.scrollLeft) / view.scrollWidth);
  frame.setAttribute("y", (box.height * view.scrollTop) / view.scrollHeight);
  frame.setAttribute("width", (box.width * view.clientWidth) / view.scrollWidth);
  frame.setAttribute("height", (box.height * view.clientHeight) / view.scrollHeight);
}

function go(event, map, view) {
  const box = map.firstChild.getBoundingClientRect();
  const across = (event.clientX - box.left) / box.width, down = (event.clientY - box.top) / box.height;
  view.scrollTo(across * view.scrollWidth - view.clientWidth / 2, down * view.scrollHeight - view.clientHeight / 2);
}
