// Which faults stand under the run strip. Four columns in the order of the run, three rows; one whose phase this drill has
// not gives its room to the fullest. In each first what is watched, then what this athlete shows most. The rest is behind
// one chip more, in the column that can best spare the place. Nothing moves while one logs: only another athlete, drill or
// focus does.

const ROWS = 3;

// columns: lists of keys. Returns [{ keys, wide, more }]: wide in columns, more if the chip to all faults stands there.
export function rail(columns, { watched, often, chosen }) {
  const order = (one, other) => watched(other) - watched(one) || often(other) - often(one);
  const sorted = columns.map((keys) => [...keys].sort(order));
  const there = sorted.filter((keys) => keys.length).map((keys) => ({ keys, wide: 1, more: false }));
  if (!there.length) return [];
  const over = ({ keys, wide }) => keys.length - wide * ROWS;
  for (let free = columns.length - there.length; free; free -= 1) there.reduce((one, other) => (over(other) > over(one) ? other : one)).wide += 1;
  if (there.some((column) => over(column) > 0)) {
    const spare = ({ keys, wide }) => wide * ROWS - keys.filter(watched).length;
    there.reduce((one, other) => (spare(other) >= spare(one) ? other : one)).more = true;
  }
  return there.map(({ keys, wide, more }) => ({ keys: first(keys, wide * ROWS - more, chosen), wide, more }));
}

// The first few, and whatever is chosen beyond them in the last place.
function first(keys, room, chosen) {
  const shown = keys.slice(0, room);
  const beyond = keys.slice(room).filter((key) => chosen.includes(key));
  return beyond.length ? [...shown.slice(0, room - beyond.length), ...beyond] : shown;
}
