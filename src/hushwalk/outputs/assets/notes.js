/* Notes taken on the map page: large buttons, the bearings on the map at once, and ways to hand the notes over. */
"use strict";
async function hushwalkNotes(map, walk, group) {
  const by = id => document.getElementById(id);
  const make = (tag, text, name) => {
    const made = document.createElement(tag);
    if (text !== undefined) made.textContent = text;
    if (name) made.className = name;
    return made;
  };
  const settings = walk.notes, zone = walk.why.grid.epsg % 100, south = walk.why.grid.epsg > 32700;
  const stops = walk.stops.map(stop => ({ name: stop.name, at: stop.at }));
  const store = await NoteStore.open(settings.walk);
  const notes = () => NoteLines.inUse(store.entries);
  const HERE = "cross of the map";
  const TIMES_MOST = 20; /* judgement: nobody counts farther; one more tap begins anew */
  const FRESH = { bird: "", distance: "", times: 1, time: null, day: null, change: null, compass: null, north: null, log: null };
  const form = { stop: 0, ...FRESH };
  const status = by("notes-status"), reading = by("reading");
  const say = words => { status.textContent = words; };

  /* the clock of the trip, whatever the zone of the phone */
  function now() {
    const parts = {};
    new Intl.DateTimeFormat("en-CA", { timeZone: settings.time_zone, hourCycle: "h23", year: "numeric", month: "2-digit",
      day: "2-digit", hour: "2-digit", minute: "2-digit", second: "2-digit" }).formatToParts(new Date()).forEach(part => { parts[part.type] = part.value; });
    return { day: `${parts.year}-${parts.month}-${parts.day}`, time: `${parts.hour}:${parts.minute}:${parts.second}` };
  }

  /* the form */
  const stopNow = () => stops[form.stop] || null;
  const press = (selector, chosen) => document.querySelectorAll(selector).forEach(button =>
    button.setAttribute("aria-pressed", String(button.dataset.value === chosen)));
  function drawBirds() {
    const used = notes().map(note => note.bird).filter(Boolean), most = Math.max(3, ...used.map(name => Number(name.slice(1)) + 1));
    const names = ["", ...Array.from({ length: Math.min(most, 999) }, (_, k) => `B${k + 1}`)];
    if (form.bird && !names.includes(form.bird)) names.push(form.bird);
    by("birds").replaceChildren(...names.map(name => {
      const button = make("button", name || "not sure");
      button.type = "button";
      button.dataset.value = name;
      button.setAttribute("aria-pressed", String(name === form.bird));
      button.addEventListener("click", () => { form.bird = name; press("#birds button", name); });
      return button;
    }));
  }
  function drawForm() {
    by("stop-name").textContent = stopNow() ? stopNow().name : HERE;
    by("nil").disabled = Boolean(form.change && form.change.kind !== "visit");
    by("now").textContent = form.time ? `Heard at ${form.time.slice(0, 5)}` : "Heard now";
    by("now").setAttribute("aria-pressed", String(Boolean(form.time)));
    by("keep").textContent = form.change ? "Keep the change" : "Keep bearing";
    by("keep").disabled = Boolean(form.change && form.change.kind !== "bearing") || Boolean(form.log);
    by("again").textContent = form.times > 1 ? `Heard ${form.times} times` : "Heard once";
    drawLog();
    by("leave").hidden = !form.change;
    press("#distances button", form.distance);
    drawBirds();
  }
  const logName = number => `LOG${String(number).padStart(2, "0")}`;
  const nextLog = () => Math.min(999, 1 + Math.max(0, ...notes().filter(note => note.kind === "log").map(note => Number(note.name.slice(3)))));
  function drawLog() {
    const log = form.log;
    by("log").disabled = Boolean(form.change); /* a log that is changed keeps its form and its number */
    by("log").setAttribute("aria-expanded", String(Boolean(log)));
    by("log-form").hidden = !log;
    if (!log) return;
    by("log-name").textContent = logName(log.number);
    by("keep-log").textContent = form.change ? "Keep the change" : "Keep log";
    press("#droppings button", log.droppings);
    press("#sides button", log.side);
  }
  function clear() {
    Object.assign(form, FRESH);
    reading.value = "";
  }
  const step = count => { form.stop = (form.stop + count + stops.length + 1) % (stops.length + 1); drawForm(); };
  by("stop-back").addEventListener("click", () => step(-1));
  by("stop-on").addEventListener("click", () => step(1));
  by("now").addEventListener("click", () => { Object.assign(form, form.time ? { time: null, day: null } : now()); drawForm(); });
  document.querySelectorAll("#distances button").forEach(button => button.addEventListener("click", () => {
    form.distance = form.distance === button.dataset.value ? "" : button.dataset.value;
    press("#distances button", form.distance);
  }));
  by("again").addEventListener("click", () => { form.times = form.times % TIMES_MOST + 1; drawForm(); });
  by("log").addEventListener("click", () => { form.log = form.log ? null : { number: nextLog(), droppings: "", side: "" }; drawForm(); });
  [["log-back", -1], ["log-on", 1]].forEach(([id, count]) => by(id).addEventListener("click", () => {
    form.log.number = Math.min(999, Math.max(1, form.log.number + count));
    drawForm();
  }));
  [["droppings", "droppings"], ["sides", "side"]].forEach(([id, name]) => document.querySelectorAll(`#${id} button`).forEach(button =>
    button.addEventListener("click", () => { form.log[name] = form.log[name] === button.dataset.value ? "" : button.dataset.value; drawForm(); })));
  document.querySelectorAll("#keypad [data-key]").forEach(button => button.addEventListener("click", () => {
    const key = button.dataset.key, old = form.compass ? "" : reading.value;
    reading.value = key === "clear" ? "" : key === "back" ? old.slice(0, -1) : (old + key).slice(-3);
    form.compass = null;
  }));
  reading.addEventListener("input", () => { form.compass = null; });
  reading.addEventListener("keydown", event => { if (event.key === "Enter") keepBearing(); });

  /* a note is told as kept only when the disk has it */
  let writing = Promise.resolve();
  function write(content, words) {
    writing = writing.then(() => store.add(content)).then(({ entry, safe }) => {
      say(safe ? words : "This browser keeps nothing. Write it on paper too, or save the file now.");
      status.dataset.kept = safe ? entry.id : "";
      draw();
    });
    return writing;
  }
  function noteOf(kind) {
    const stop = stopNow(), centre = map.getCenter().wrap(), moment = form.time ? { day: form.day, time: form.time } : now();
    const name = stop ? stop.name : "", same = form.change && form.change.stop === name; /* a note keeps the place it was taken at */
    return { kind, stop: name, at: same ? form.change.at : stop ? stop.at : [centre.lat, centre.lng], ...moment };
  }
  function keep(note) {
    const old = form.change, words = NoteLines.line(note, stops);
    clear();
    return write(old ? { act: "change", of: old.id, note } : { act: "add", note }, `${old ? "Changed" : "Kept"}: ${words}`);
  }
  function keepBearing() {
    const deg = Number(reading.value.replace(",", "."));
    if (!/^\d{1,3}([.,]\d+)?$/.test(reading.value.trim()) || deg > 360) {
      say(`${reading.value || "An empty field"} is no bearing: write 0 to 360, such as 085.`);
      return;
    }
    const compass = form.compass === null ? {} : { compass: "phone" };
    keep({ ...noteOf("bearing"), bird: form.bird, reading: deg, north: form.compass === null ? form.north || settings.compass : "M",
      distance: form.distance, ...(form.times > 1 ? { times: form.times } : {}), ...compass });
  }
  function keepLog() {
    const log = form.log;
    if (!log.droppings) { say("Say what droppings lie there: fresh, old, few or none."); return; }
    const centre = map.getCenter().wrap(), moment = form.time ? { day: form.day, time: form.time } : now(), old = form.change;
    const at = old && NoteLines.near(old.at, [centre.lat, centre.lng]) ? old.at : [centre.lat, centre.lng];
    keep({ kind: "log", name: logName(log.number), stop: "", at, droppings: log.droppings, side: log.side, bird: form.bird, ...moment });
  }
  by("keep-log").addEventListener("click", keepLog);
  by("keep").addEventListener("click", keepBearing);
  by("nil").addEventListener("click", () => keep(noteOf("visit")));
  by("leave").addEventListener("click", () => { clear(); drawForm(); say("Nothing changed."); });
  by("undo").addEventListener("click", () => {
    const last = NoteLines.last(store.entries);
    if (!last) say("There is nothing to undo.");
    else write({ act: "undo", of: last.id }, `Undone: ${{ add: "the new note", change: "the change", remove: "the removal" }[last.act]}.`);
  });
  function edit(note) {
    const at = stops.findIndex(stop => stop.name === note.stop);
    Object.assign(form, { stop: at < 0 ? stops.length : at, bird: note.bird || "", distance: note.distance || "", times: note.times || 1, time: note.time,
      log: note.kind === "log" ? { number: Number(note.name.slice(3)), droppings: note.droppings, side: note.side } : null,
      day: note.day, change: note, compass: note.compass === "phone" ? note.reading : null, north: note.north });
    if (at < 0) map.panTo(note.at, { animate: false });
    reading.value = note.kind === "bearing" ? NoteLines.three(note.reading) : "";
    drawForm();
    say(`Changing: ${NoteLines.line(note, stops)}`);
    by("stop-name").scrollIntoView({ block: "nearest" });
    if (note.kind === "bearing") reading.focus({ preventScroll: true });
  }
  function drawList() {
    const all = notes().reverse();
    by("count").textContent = all.length === 1 ? "1 note" : `${all.length} notes`;
    by("kept").replaceChildren(...all.map(note => {
      const item = make("li"), words = NoteLines.line(note, stops);
      const change = make("button", "Change"), remove = make("button", "Remove");
      [[change, () => edit(note)], [remove, () => write({ act: "remove", of: note.id }, `Removed: ${words}. Undo brings it back.`)]]
        .forEach(([button, act]) => {
          button.type = "button";
          button.setAttribute("aria-label", `${button.textContent} ${words}`);
          button.addEventListener("click", act);
        });
      item.append(make("span", words), change, remove);
      return item;
    }));
  }

  /* bearings on the map, and where those of one bird cross */
  const metres = at => Place.toMetres(at[1], at[0], zone, south);
  const atCar = walk.car.at;
  function degrees([x, y]) { /* Newton's steps from the car: exact to the millimetre within a walk */
    let lat = atCar[0], lon = atCar[1];
    for (let k = 0; k < 4; k++) {
      const [a, b] = Place.toMetres(lon, lat, zone, south), h = 1e-5;
      const [ax, bx] = Place.toMetres(lon + h, lat, zone, south), [ay, bLat] = Place.toMetres(lon, lat + h, zone, south);
      const xx = (ax - a) / h, xy = (ay - a) / h, yx = (bx - b) / h, yy = (bLat - b) / h, det = xx * yy - xy * yx;
      lon += ((x - a) * yy - (y - b) * xy) / det;
      lat += ((y - b) * xx - (x - a) * yx) / det;
    }
    return [lat, lon];
  }
  const gridAzimuth = note => NoteLines.trueDeg(note, settings) - settings.convergence_deg;
  const ray = (xy, azimuth, far) => [xy[0] + far * Math.sin(azimuth * Math.PI / 180), xy[1] + far * Math.cos(azimuth * Math.PI / 180)];
  function wordsOf(bird, count, found) {
    const limits = settings.limits, units = walk.units;
    const short = m => `${Math.round(m / units.short[1])} ${units.short[0]}`;
    if (found.reason === "acute") return `${bird}: the bearings meet at less than ${limits.crossing_min_deg}°; take one from farther round.`;
    if (found.reason === "behind") return `${bird}: the bearings do not meet in front of you. Two birds, or one read back to front?`;
    if (found.reason === "far") return `${bird}: the bearings meet more than ${short(limits.far_m)} off, farther than he is heard.`;
    const [lat, lon] = degrees(found.place), ha = (Math.PI * found.major * found.minor) / 1e4;
    return `${bird}: ${count} bearings cross at ${Place.usng(lon, lat)}; ${Math.round(100 * limits.share)} % in ${(ha / units.area[1]).toFixed(1)} ${units.area[0]}, `
      + `${short(2 * found.minor)} by ${short(2 * found.major)}.`;
  }
  function drawMap() {
    group.clearLayers();
    const bearings = notes().filter(note => note.kind === "bearing"), words = [];
    bearings.forEach(note => {
      const xy = metres(note.at), azimuth = gridAzimuth(note), far = settings.limits.far_m;
      const wedge = [xy, ...[-1, -0.5, 0, 0.5, 1].map(part => ray(xy, azimuth + part * settings.sd_deg, far))];
      L.polygon(wedge.map(degrees), { className: "noted-wedge", interactive: false }).addTo(group);
      L.polyline([xy, ray(xy, azimuth, far)].map(degrees), { className: "noted-line", interactive: false }).addTo(group);
    });
    [...new Set(bearings.map(note => note.bird).filter(Boolean))].sort().forEach(bird => {
      const own = bearings.filter(note => note.bird === bird).map(note => ({ xy: metres(note.at), azimuth: gridAzimuth(note) }));
      if (own.length < 2) return;
      const found = NoteLines.crossing(own, settings.sd_deg, settings.limits);
      words.push(wordsOf(bird, own.length, found));
      if (found.reason) return;
      L.polygon(NoteLines.ring(found).map(degrees), { className: "noted-ground", interactive: false }).addTo(group);
      const face = make("span", bird, "noted-bird");
      L.marker(degrees(found.place), { icon: L.divIcon({ html: face, className: "pin", iconSize: [44, 22] }), interactive: false, keyboard: false }).addTo(group);
    });
    by("crossings").replaceChildren(...words.map(text => make("li", text)));
    by("crossings-note").hidden = !words.length;
  }
  function draw() { drawForm(); drawList(); drawMap(); }

  handOver({ walk, by, make, say, text: () => NoteLines.text(notes(), stops, walk.notes.title),
    parts: most => NoteLines.parts(notes(), stops, most) });
  readCompass({ by, say, heading: deg => { reading.value = NoteLines.three(Math.round(deg) % 360); form.compass = deg; } });
  by("take").addEventListener("click", () => {
    const panel = by("notes"), away = panel.getBoundingClientRect().top > innerHeight - 100; /* below the screen: go there */
    const open = panel.hidden || away;
    panel.hidden = !open;
    by("take").setAttribute("aria-expanded", String(open));
    if (open) by("notes").scrollIntoView({ block: "start" });
  });
  by("see").addEventListener("click", () => {
    const drawn = L.featureGroup(group.getLayers()), bounds = drawn.getBounds();
    map.getContainer().scrollIntoView({ block: "start" });
    if (bounds.isValid()) map.fitBounds(bounds, { padding: [20, 20], animate: false });
  });
  const newest = notes().pop();
  if (newest) form.stop = Math.max(0, stops.findIndex(stop => stop.name === newest.stop));
  by("notes").hidden = !newest;
  by("take").hidden = false;
  by("take").setAttribute("aria-expanded", String(Boolean(newest)));
  draw();
  say(newest ? "The notes of before are here." : "Nothing noted yet.");
  by("notes").dataset.ready = "yes";
}
