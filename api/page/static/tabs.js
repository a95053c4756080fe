// Tabs after the pattern of the ARIA authoring practices: arrows move, one tab stop for all.

import { byId } from "./dom.js";
import { on, setView, state } from "./model.js";

const all = () => [...document.querySelectorAll("[role=tab]")];

export function startTabs() {
  for (const tab of all()) {
    tab.addEventListener("click", () => setView("tab", tab.dataset.tab));
    tab.addEventListener("keydown", move);
  }
  on("view", (name) => { if (name === "tab") { show(); fromItsTop(); } });
  on("selection", () => { if (state.tab === "parts") fromItsTop(); });
  show();
}

/** Show a tab, and the field of a place in the document that is on it, if one is meant. */
export function showTab(name) {
  if (state.tab !== name) setView("tab", name);
}

/** What is newly shown is seen from its beginning, however far down in something else one was. */
function fromItsTop() {
  if (byId("panels").getBoundingClientRect().top < 0) byId("panels").scrollIntoView();
}

function move(event) {
  const tabs = all();
  const here = tabs.indexOf(event.currentTarget);
  const steps = { ArrowRight: here + 1, ArrowLeft: here - 1, Home: 0, End: tabs.length - 1 };
  if (!(event.key in steps)) return;
  event.preventDefault();
  const next = tabs[(steps[event.key] + tabs.length) % tabs.length];
  setView("tab", next.dataset.tab);
  next.focus();
}

function show() {
  if (!all().some((tab) => tab.dataset.tab === state.tab)) state.tab = "limits";
  for (const tab of all()) {
    const shown = tab.dataset.tab === state.tab;
    tab.setAttribute("aria-selected", shown);
    tab.tabIndex = shown ? 0 : -1;
    byId(tab.getAttribute("aria-controls")).hidden = !shown;
  }
}
