// The derivation: each step shows its component, and each component its steps.

import { byId, fill, h } from "./dom.js";
import { on, select, state, tell } from "./model.js";

export function startSteps() {
  on("rating", show);
  on("selection", ({ from }) => mark(from));
}

function show() {
  const { rating } = state;
  const place = byId("panel-steps");
  if (!rating) return fill(place, h("p", {}, "Nothing is rated yet."));
  const { method } = rating;
  fill(place,
    h("h3", {}, "How it came about"),
    h("p", { class: "method" }, `${method.standard}, ${method.edition}; engine ${method.engine_version}`),
    h("ol", { class: "steps" }, rating.derivation.map(row)));
  mark("rating");
}

function row(each) {
  const values = [each.before, each.after].filter(Boolean).map((value) => value.current);
  const choose = () => { select(each.component, "steps"); tell("reveal", each.component); };
  const inner = [
    h("span", { class: "number" }, String(each.number)), h("span", { class: "clause" }, each.clause),
    h("span", { class: "statement" }, each.component && h("b", {}, each.component, " "), each.statement),
    values.length ? h("span", { class: "moved" }, values.join(" → ")) : null,
  ];
  if (each.component === null) return h("li", {}, h("div", { class: "step" }, inner));
  return h("li", {}, h("button", { type: "button", class: "step", "data-step": each.component, onclick: choose, "aria-pressed": "false" }, inner));
}

function mark(from) {
  let first = null;
  for (const step of document.querySelectorAll("[data-step]")) {
    const chosen = step.dataset.step === state.selected;
    step.setAttribute("aria-pressed", chosen);
    if (chosen) first ??= step;
  }
  if (first && from !== "steps" && from !== "rating") first.scrollIntoView({ block: "nearest" });
}
