// The page begins here: each part is told to start, and what was left the last time is taken up.

import { button, byId, fill, say } from "./dom.js";
import { startChanges } from "./changes.js";
import { startComponent } from "./component.js";
import { startDesk } from "./desk.js";
import { startDiagram } from "./diagram.js";
import { startEditions } from "./editions.js";
import { focusField, startFields } from "./fields.js";
import { startKeep } from "./keep.js";
import { startKey } from "./key.js";
import { loadKinds } from "./kinds.js";
import { startLimits } from "./limits.js";
import { follow } from "./live.js";
import { canRedo, canUndo, keepDraft, on, redo, select, state, takeUpDraft, tell, undo } from "./model.js";
import { startOpening } from "./open.js";
import { startPanelData } from "./panel_data.js";
import { startPapers } from "./papers.js";
import { startParts } from "./parts.js";
import { steps } from "./paths.js";
import { startPrinting } from "./printing.js";
import { startPlan } from "./plan.js";
import { startScale } from "./scale.js";
import { startSteps } from "./steps.js";
import { showTab, startTabs } from "./tabs.js";
import { startVerdict } from "./verdict.js";

const PARTS = [startVerdict, startScale, startLimits, startSteps, startFields, startComponent, startParts, startEditions, startPanelData, startPlan,
  startChanges, startDiagram, startTabs, startKey, startDesk, startPapers, startKeep, startOpening, startPrinting];

async function begin() {
  takeUpDraft();
  await loadKinds();
  for (const start of PARTS) start();
  history();
  follow();
  on("go-to", goTo);
  on("rating", rememberRating);
  // Who reads the steps goes on reading them; anybody else wants to see the component.
  on("selection", ({ from }) => { if (from === "list" || (from === "diagram" && state.tab !== "steps" && state.selected)) showTab("parts"); });
  addEventListener("unhandledrejection", (event) => say(event.reason?.message ?? "Something went wrong here; your draft is kept."));
  on("draft-lost", () => say("This browser keeps no draft here: save the panel as a file."));
  on("document", title);
  if (state.document) { tell("base"); tell("document", { origin: "begin" }); }
}

function title() {
  const { designation, title: words } = state.document?.panel ?? {};
  fill(byId("panel-name"), [designation, words].filter(Boolean).join(" · "));
  document.title = designation ? `${designation} · sccr` : "sccr";
}

function history() {
  byId("undo").addEventListener("click", undo);
  byId("redo").addEventListener("click", redo);
  on("document", () => { byId("undo").disabled = !canUndo(); byId("redo").disabled = !canRedo(); });
  addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || !state.document || byId("dialog").open) return;
    const pressed = event.key.toLowerCase();
    if (pressed === "z" && !event.shiftKey) undo();
    else if (pressed === "y" || (pressed === "z" && event.shiftKey)) redo();
    else return;
    event.preventDefault();
  });
}

/** Show the field that an error is at, wherever it stands. */
function goTo(pointer) {
  const [list, place] = steps(pointer);
  const component = list === "components" ? state.document.components?.[place] : undefined;
  if (component) select(component.id);
  showTab(component ? "parts" : "panel");
  const found = focusField(pointer);
  if (!found) byId(component ? "tab-parts" : "tab-panel").focus();
}

/** What the document was rated when it was opened is what later ratings are compared with. */
function rememberRating() {
  if (state.base && !state.base.rating && state.ratedDocument === state.base.document) { state.base.rating = state.rating; keepDraft(); }
}

begin().catch((error) => fill(byId("start"), error.message, " ", button("Load the page again", () => location.reload())));
