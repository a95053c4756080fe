// The rating and the diagram follow the document: asked anew at every change, the newest answer wins, older ones are dropped.

import { byFirstEdition, on, state, tell } from "./model.js";
import { address, post, Refused, Unreachable } from "./service.js";

const AGAIN = 1500;
let asking = null;
let drawing = null;
let waiting = null;

export function follow() {
  on("document", () => { rate(); draw(); });
  on("view", (name) => { if (name === "folded" || name === "symbols") draw(); });
  on("key", () => { rate(); draw(); });
}

async function rate() {
  asking?.abort();
  clearTimeout(waiting);
  const document = state.document;
  if (!document) return;
  const mine = (asking = new AbortController());
  try {
    const answer = await (await post("/v1/ratings", document, { signal: mine.signal })).json();
    const [rating, several] = answer.side_by_side ? [answer.ratings[0], answer.side_by_side] : [answer, null];
    if (mine === asking) settle({ rating, several, ratedDocument: document, errors: [], trouble: null });
  } catch (error) {
    if (mine === asking && error.name !== "AbortError") fail(error);
  }
}

function fail(error) {
  if (error instanceof Refused && error.errors.length) settle({ errors: error.errors, trouble: null });
  else settle({ trouble: error.message });
  if (error instanceof Unreachable || error.status >= 500) waiting = setTimeout(() => { rate(); draw(); }, AGAIN);
}

function settle(found) {
  Object.assign(state, found);
  tell("errors");
  tell("rating");
}

async function draw() {
  drawing?.abort();
  const document = state.document;
  if (!document) return;
  const mine = (drawing = new AbortController());
  const folded = state.folded.length ? JSON.stringify(state.folded) : undefined;
  try {
    const asked = address("/v1/diagrams", { symbols: state.symbols, folded });
    const drawn = await (await post(asked, byFirstEdition(document), { signal: mine.signal, accept: "image/svg+xml" })).text();
    if (mine === drawing) tell("diagram", drawn);
  } catch (error) {
    if (error.name !== "AbortError") tell("diagram-stale");  // why is told once, with the rating
  }
}
