// Which branches of the diagram are folded away. The service draws what is left.

import { components, ownerOf, setView, sourcesOf, state } from "./model.js";

/** Return the ids of what a component or supply feeds. */
export const fedBy = (id) => components().filter((each) => sourcesOf(each).map(ownerOf).includes(id)).map((each) => each.id);

export const foldable = (id) => id !== null && fedBy(id).length > 0;

export function toggleFold(id) {
  if (state.folded.includes(id)) setView("folded", state.folded.filter((each) => each !== id));
  else if (foldable(id)) setView("folded", [...state.folded, id]);
}

/** Fold every branch that does not lead to what holds the rating down, or withholds it. */
export function foldOthers() {
  const marked = [...state.rating.limited_by, ...state.rating.findings.filter((each) => each.severity === "error")];
  const path = new Set(marked.map((each) => each.component));
  for (const id of path) for (const source of sourcesOf(components().find((each) => each.id === id))) path.add(ownerOf(source));
  const besides = components().filter((each) => !path.has(each.id) && foldable(each.id));
  const inside = new Set(besides.map((each) => each.id));
  const outermost = besides.filter((each) => !sourcesOf(each).map(ownerOf).some((source) => inside.has(source)));
  setView("folded", outermost.map((each) => each.id));
}
