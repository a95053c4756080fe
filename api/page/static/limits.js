// What each edition makes of the panel, what the rating becomes as each limit is lifted, what has to be seen, and what must hold in the field.

import { byId, few, fill, h } from "./dom.js";
import { sideBySide } from "./editions.js";
import { on, state } from "./model.js";
import { name } from "./verdict.js";

export function startLimits() {
  on("rating", show);
}

function show() {
  const { rating, several } = state;
  fill(byId("panel-limits"), rating ? [several && sideBySide(several), staircase(rating), findings(rating), conditions(rating)] : h("p", {}, "Nothing is rated yet."));
}

function staircase(rating) {
  if (!rating.rating) return null;
  const first = { rating: rating.rating, limited_by: rating.limited_by };
  const stairs = [first, ...rating.next_limits];
  const highest = Math.max(...stairs.map((stair) => stair.rating.current_amperes));
  const step = (stair, place) => h("li", {},
    h("span", { class: "stair", "aria-hidden": "true" }, bar(stair, highest)),
    h("strong", { class: "level" }, stair.rating.current),
    h("div", { class: "why" }, place === 0 ? "now, held by" : "then held by", few(stair.limited_by.map((limit) => h("li", {}, name(limit.component), " ", limit.reason)))));
  return h("section", {}, h("h3", {}, "As each limit is lifted"), h("ol", { class: "staircase" }, stairs.map(step)));
}

function bar(stair, highest) {
  // A meter of its own would need a style in the text, which the policy of the page forbids.
  const width = Math.max(4, Math.round((100 * Math.log10(1 + stair.rating.current_amperes / 500)) / Math.log10(1 + highest / 500)));
  const node = h("span", { class: "run" });
  node.style.setProperty("inline-size", `${width}%`);
  return node;
}

function findings({ findings }) {
  const words = { error: "withholds", warning: "warning", note: "note" };
  if (!findings.length) return h("section", {}, h("h3", {}, "Findings"), h("p", {}, "None."));
  return h("section", {}, h("h3", {}, "Findings"), h("ul", { class: "findings" }, findings.map((each) =>
    h("li", { class: each.severity }, h("span", { class: "flag" }, words[each.severity]), " ", name(each.component), " ", each.message, " ", h("small", {}, each.clause)))));
}

function conditions({ conditions }) {
  if (!conditions.length) return null;
  return h("section", {}, h("h3", {}, "What must hold in the field"), h("ul", {}, conditions.map((each) => h("li", {}, each.text))));
}
