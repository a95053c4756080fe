// The diagram by keyboard: down to what a component feeds, up to what feeds it, sideways among what one source feeds.

import { componentOf, ownerOf, sourcesOf, supplies } from "./model.js";

/** Return the neighbour in the direction of a key, or null. */
export function move(key, id, isShown, fedBy) {
  if (key === "ArrowDown") return fedBy(id).find(isShown) ?? null;
  if (key === "ArrowUp") return sourcesOf(componentOf(id)).map(ownerOf).find(isShown) ?? null;
  if (key !== "ArrowLeft" && key !== "ArrowRight") return null;
  const source = sourcesOf(componentOf(id)).map(ownerOf)[0];
  const row = (source === undefined ? supplies().map((each) => each.id) : fedBy(source)).filter(isShown);
  return row[row.indexOf(id) + (key === "ArrowRight" ? 1 : -1)] ?? null;
}
