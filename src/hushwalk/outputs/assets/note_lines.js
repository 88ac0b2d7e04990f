/* From what was tapped to notes, to lines that `hushwalk note --from` reads, and to where bearings cross. No map here. */
"use strict";
const NoteLines = (() => {
  const RAD = Math.PI / 180;

  /* The notes in use after every entry: one adds, changes, takes away, or undoes an earlier entry. */
  function inUse(entries) {
    const undone = new Set();
    [...entries].reverse().forEach(entry => { if (entry.act === "undo" && !undone.has(entry.id)) undone.add(entry.of); });
    const notes = new Map();
    entries.filter(entry => !undone.has(entry.id)).forEach(entry => {
      if (entry.act === "add") notes.set(entry.id, entry.note);
      else if (entry.act === "change" && notes.has(entry.of)) notes.set(entry.of, entry.note);
      else if (entry.act === "remove") notes.delete(entry.of);
    });
    return [...notes].map(([id, note]) => ({ id, ...note }));
  }
  const last = entries => {
    const undone = new Set(entries.filter(entry => entry.act === "undo").map(entry => entry.of));
    return entries.filter(entry => entry.act !== "undo" && !undone.has(entry.id)).pop();
  };

  const three = deg => String(Math.round(deg * 10) / 10).replace(/^\d+/, whole => whole.padStart(3, "0"));
  const sameSpot = (a, b) => Math.abs(a[0] - b[0]) < 1e-5 && Math.abs(a[1] - b[1]) < 1e-5;
  const atWords = at => `at="${at[0].toFixed(6)}, ${at[1].toFixed(6)}"`;

  /* One note as a typed line; a place is written where the plan's stop of that name does not lie there. */
  function line(note, stops) {
    const stop = stops.find(one => one.name === note.stop), words = [];
    if (note.kind === "log") words.push(note.name, note.droppings);
    if (note.stop) words.push(note.stop);
    if (!stop || !sameSpot(stop.at, note.at)) words.push(atWords(note.at));
    if (note.kind === "visit") words.push("nil");
    else if (note.kind === "log") {
      if (note.bird) words.push(note.bird);
      if (note.side) words.push(`dropping_side=${note.side}`);
    } else {
      if (note.bird) words.push(note.bird);
      words.push(three(note.reading) + note.north);
      if (note.distance) words.push(note.distance);
      if (note.times > 1) words.push(`x${note.times}`);
    }
    words.push(note.time);
    if (note.compass === "phone") words.push("phone");
    return words.join(" ");
  }
  const plain = words => words.replace(/[\u0000-\u001f\u007f]/g, " ");
  function days(notes) {
    const sorted = notes.map((note, k) => [note, k]);
    sorted.sort(([a, i], [b, j]) => (a.day < b.day ? -1 : a.day > b.day ? 1 : a.time < b.time ? -1 : a.time > b.time ? 1 : i - j));
    return sorted.map(([note]) => note);
  }
  function withDays(notes, stops) {
    const lines = [];
    days(notes).forEach((note, k, all) => {
      if (!k || all[k - 1].day !== note.day) lines.push({ day: note.day, text: `day ${note.day}` });
      lines.push({ day: note.day, text: line(note, stops) });
    });
    return lines;
  }
  const text = (notes, stops, title) =>
    [`# hushwalk notes: ${plain(title)}`, ...withDays(notes, stops).map(one => one.text), ""].join("\n");

  /* The same lines in parts that can each be read alone, none longer than `most` bytes unless one line is. */
  function parts(notes, stops, most) {
    const size = lines => new TextEncoder().encode(lines.join("\n")).length;
    const made = [];
    let part = null;
    withDays(notes, stops).filter(one => !one.text.startsWith("day ")).forEach(one => {
      const fits = part && size([...part.lines, `day ${one.day}`, one.text]) <= most;
      if (!fits) made.push(part = { day: "", lines: [] });
      if (part.day !== one.day) { part.lines.push(`day ${one.day}`); part.day = one.day; }
      part.lines.push(one.text);
    });
    return made.map(one => one.lines.join("\n") + "\n");
  }

  /* From the reading to true north; angles from true north, east positive. */
  const trueDeg = (note, norths) => (note.reading + (note.north === "M" ? norths.declination_deg
    : note.north === "G" ? norths.convergence_deg : 0) + 720) % 360;

  /*
   * Where bearings [{ xy, azimuth }] of one bird cross, each with the same standard deviation [deg].
   * The place makes the sum of squared misses, each over its distance, least; the covariance is the inverse of the
   * information sum(n n' / (d sd)^2), n the unit normal of a line. The ellipse holds `share` of a normal error.
   */
  function crossing(bearings, sd_deg, limits) {
    const from = bearings.map(one => ({ xy: one.xy, s: Math.sin(one.azimuth * RAD), c: Math.cos(one.azimuth * RAD) }));
    const spread = Math.max(...from.map((a, i) => Math.max(0, ...from.slice(i + 1)
      .filter(b => Math.hypot(a.xy[0] - b.xy[0], a.xy[1] - b.xy[1]) > 1)
      .map(b => Math.asin(Math.min(1, Math.abs(a.s * b.c - a.c * b.s))) / RAD))));
    if (!(spread >= limits.crossing_min_deg)) return { reason: "acute", spread };
    const [x0, y0] = from[0].xy;
    let place = null, weights = from.map(() => 1), known;
    for (let turn = 0; turn < 50; turn++) {
      let xx = 0, xy = 0, yy = 0, bx = 0, by = 0;
      from.forEach((one, k) => {
        const nx = one.c, ny = -one.s, off = nx * (one.xy[0] - x0) + ny * (one.xy[1] - y0), w = weights[k];
        xx += w * nx * nx; xy += w * nx * ny; yy += w * ny * ny; bx += w * nx * off; by += w * ny * off;
      });
      const det = xx * yy - xy * xy, next = [x0 + (yy * bx - xy * by) / det, y0 + (xx * by - xy * bx) / det];
      const moved = place ? Math.hypot(next[0] - place[0], next[1] - place[1]) : Infinity;
      place = next;
      known = { xx, xy, yy, det };
      weights = from.map(one => 1 / (Math.max(1, Math.hypot(place[0] - one.xy[0], place[1] - one.xy[1])) * sd_deg * RAD) ** 2);
      if (moved < 1e-6 && turn > 1) break;
    }
    const away = from.map(one => Math.hypot(place[0] - one.xy[0], place[1] - one.xy[1]));
    if (from.some(one => (place[0] - one.xy[0]) * one.s + (place[1] - one.xy[1]) * one.c <= 0)) return { reason: "behind", spread };
    if (Math.max(...away) > limits.far_m) return { reason: "far", spread, away };
    const a = known.yy / known.det, b = -known.xy / known.det, d = known.xx / known.det;
    const middle = (a + d) / 2, half = Math.hypot((a - d) / 2, b), q = -2 * Math.log(1 - limits.share);
    const turn = ((Math.atan2(2 * b, a - d) / 2) / RAD);
    return { place, spread, away, major: Math.sqrt(q * (middle + half)), minor: Math.sqrt(q * Math.max(0, middle - half)),
      azimuth: (90 - turn + 360) % 180 };
  }
  function ring(found) {
    const t = (90 - found.azimuth) * RAD;
    return Array.from({ length: 49 }, (_, k) => {
      const u = (k / 24) * Math.PI, p = found.major * Math.cos(u), q = found.minor * Math.sin(u);
      return [found.place[0] + p * Math.cos(t) - q * Math.sin(t), found.place[1] + p * Math.sin(t) + q * Math.cos(t)];
    });
  }
  const near = (a, b) => Math.abs(a[0] - b[0]) < 1e-4 && Math.abs(a[1] - b[1]) < 1e-4; /* some ten metres: the map was not moved */
  return { inUse, last, line, near, text, parts, trueDeg, crossing, ring, three };
})();
