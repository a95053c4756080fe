// Currents as they are read, and their place on a logarithmic scale.

/** Return amperes as they are written: 9500 → "9.5 kA". The service counts; this only writes what it counted. */
export function amperes(value) {
  if (value === null || value === undefined) return "none";
  return Math.abs(value) >= 1000 ? `${trimmed(value / 1000)} kA` : `${trimmed(value)} A`;
}

const trimmed = (value) => String(Number(value.toFixed(3)));

/** Return the scale that holds all values: a function from amperes to a share of the width, and its marks. */
export function logScale(values) {
  const known = values.filter((value) => value > 0);
  const least = Math.min(1000, ...known) * 0.75;
  const most = Math.max(10000, ...known) * 1.3;
  const span = Math.log(most / least);
  return { at: (value) => Math.log(Math.max(value, least) / least) / span, marks: marks(least, most) };
}

function marks(least, most) {
  const found = [];
  for (let decade = 10 ** Math.floor(Math.log10(least)); decade <= most; decade *= 10)
    for (const part of [1, 2, 5]) if (part * decade >= least && part * decade <= most) found.push(part * decade);
  return found;
}
