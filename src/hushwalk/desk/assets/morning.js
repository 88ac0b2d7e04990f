/* Shape the morning: the walk on the map and in the table, and what a person changes about it. */
"use strict";
Desk.rooms.morning = (() => {
  const { find, make, button, ask, say } = Desk;
  const { map, icon, marker } = DeskMap;
  const walk = L.layerGroup(), shaping = L.layerGroup(), decided = L.layerGroup(), groups = [walk, shaping, decided];
  let grounded = null, chosen = null, pins = [], drawnOf = null, plan = null, trip = null, filled = "";

  /* what a person changes becomes an entry of the trip file */
  const change = (kind, said) => ask("change", { kind, ...said }).then(Start.take, () => redraw(true));
  const at = latlng => [latlng.lat, latlng.wrap().lng];

  /* a stop that is being moved: the desk evaluates the walk as fast as it can, always the newest place */
  let wanted = null, asking = false, moves = 0;
  async function evaluate(stop, latlng) {
    wanted = { stop, latlng };
    if (asking) return;
    asking = true;
    const mine = moves;
    while (wanted && mine === moves) {
      const { stop: moving, latlng: there } = wanted;
      wanted = null;
      const stops = plan.stops.map(one => (one.number === moving.number ? { ...one, at: at(there) } : one))
        .map(one => ({ at: one.at, minutes: one.minutes, wait: one.wait, must: one.must }));
      try {
        const shaped = await ask("shape", { stops, first_begin: plan.first_begin, kept_free_s: plan.kept_free_s }, { quietly: true });
        if (mine === moves) showShaped(shaped);
      } catch (wrong) {
        if (mine === moves) find("cost").textContent = wrong.message;
      }
    }
    asking = false;
  }
  function showShaped(shaped) {
    WalkLayer.shape(shaping, shaped);
    headline(shaped);
    table(shaped);
    find("cost").textContent = shaped.cost;
  }
  function moved(stop, latlng) {
    moves += 1;
    wanted = null;
    drawnOf = null;
    change("move stop", { at: at(latlng), must: stop.must, stop: stop.name });
  }

  /* one stop chosen */
  function choose(stop) {
    chosen = stop ? stop.number : null;
    find("chosen").hidden = !stop;
    if (!stop) return;
    find("chosen-name").textContent = `Stop ${stop.number}`;
    find("lock").textContent = stop.must === null ? "Lock" : "Unlock";
    find("chosen-rows").replaceChildren(...stop.rows.flatMap(([what, words]) => [make("dt", what), make("dd", words)]));
    mark();
    say(`Stop ${stop.number} chosen`);
  }
  const stopChosen = () => plan && plan.stops.find(one => one.number === chosen);
  function mark() {
    [...find("stops").tBodies[0].rows].forEach((row, k) => row.classList.toggle("now", plan.stops[k] && plan.stops[k].number === chosen));
  }
  find("lock").addEventListener("click", () => {
    const stop = stopChosen();
    if (!stop) return;
    if (stop.must === null) change("lock stop", { at: stop.at, stop: stop.name });
    else change("unlock stop", { must: stop.must, stop: stop.name });
  });
  find("forbid").addEventListener("click", () => {
    const stop = stopChosen();
    if (stop) change("forbid stop", { at: stop.at, must: stop.must, stop: stop.name });
    choose(null);
  });
  find("lock-all").addEventListener("click", () => {
    const free = plan ? plan.stops.filter(stop => stop.must === null) : [];
    if (free.length) change("lock stops", { places: free.map(stop => stop.at) });
  });
  const STEP = 10, FAST = 5, DEGREE_M = 111320;
  find("move").addEventListener("click", () => {
    const stop = stopChosen(), pin = stop && pins[stop.number - 1];
    if (!pin) return;
    const from = pin.getLatLng(), element = pin.getElement();
    const [unit, size] = trip.units.step;
    say(`Arrow keys move the stop by ${STEP} ${unit}, with Shift by ${STEP * FAST}. Enter leaves it there, Escape takes it back.`);
    find("cost").textContent = "Arrow keys move it, Enter leaves it there, Escape takes it back.";
    element.focus();
    const done = keep => {
      element.removeEventListener("keydown", key);
      if (keep) moved(stop, pin.getLatLng());
      else { moves += 1; pin.setLatLng(from); redraw(true); }
    };
    const WAYS = { ArrowUp: [1, 0], ArrowDown: [-1, 0], ArrowRight: [0, 1], ArrowLeft: [0, -1] };
    function key(event) {
      const way = WAYS[event.key];
      if (way) {
        const far = (STEP * size * (event.shiftKey ? FAST : 1)) / DEGREE_M, now = pin.getLatLng();
        pin.setLatLng([now.lat + way[0] * far, now.lng + (way[1] * far) / Math.cos((now.lat * Math.PI) / 180)]);
        evaluate(stop, pin.getLatLng());
      } else if (event.key === "Enter") done(true);
      else if (event.key === "Escape") done(false);
      else return;
      event.preventDefault();
      event.stopPropagation();
    }
    element.addEventListener("keydown", key);
  });

  /* drawing */
  const TOOLS = {
    add: { words: "Click where a stop must be.", most: 1, work: ([place]) => change("add stop", { at: place }) },
    line: { words: "Click the points of a line that nobody crosses.", least: 2, work: places => change("add line", { places }) },
    ground: { words: "Click the corners of ground to keep out of.", least: 3, closed: true, work: places => change("close ground", { places }) },
  };
  document.querySelectorAll("#morning [data-tool]").forEach(one => one.addEventListener("click", () => Drawing.start({ button: one, ...TOOLS[one.dataset.tool] })));

  /* what was decided, on the map and as a list that takes it back */
  function decisions() {
    decided.clearLayers();
    const rows = [];
    const row = (words, work) => {
      const item = make("li");
      item.append(make("span", words), button("Take back", work));
      rows.push(item);
    };
    trip.must.forEach((place, k) => row(`a stop must be at ${words(place)}`, () => change("unlock stop", { must: k })));
    trip.must_not.forEach((place, k) => {
      marker(place, icon("no-stop", "×", 26), "No stop here", { keyboard: false, interactive: false }).addTo(decided);
      row(`no stop at ${words(place)}`, () => change("allow stop", { must_not: k }));
    });
    trip.not_across.forEach((line, k) => {
      L.polyline(line, { color: "#ffffff", weight: 8, interactive: false }).addTo(decided);
      L.polyline(line, { color: "#8e1f2f", weight: 4, dashArray: "10 5", interactive: false }).addTo(decided);
      row(`nobody crosses line ${k + 1}`, () => change("remove line", { line: k }));
    });
    trip.closed.forEach((ground, k) => {
      L.polygon(ground.corners, { color: "#8e1f2f", weight: 2, fillColor: "url(#hatch)", fillOpacity: 1, interactive: false }).addTo(decided);
      row(`closed: ${ground.name}`, () => change("open ground", { closed: k }));
    });
    if (!rows.length) rows.push(make("li", "None yet: drag a stop, or choose one.", "quiet"));
    find("wished").replaceChildren(...rows);
  }
  const words = ([lat, lon]) => Place.usng(lon, lat);

  /* hours, reserve and wind: each is written when it is left */
  const form = find("hours");
  const MOST_WIND_MS = 30;
  function fill() {
    const said = JSON.stringify([trip.date, trip.leave_not_before, trip.back_by, trip.reserve, trip.wind_at_ear_ms, trip.units]);
    if (said === filled) return;
    filled = said;
    ["date", "leave_not_before", "back_by"].forEach(name => { form.elements[name].value = trip[name]; });
    const [unit, size] = trip.units.wind, wind = form.elements.wind_at_ear_ms;
    find("wind-unit").textContent = unit;
    wind.max = (MOST_WIND_MS / size).toFixed(1);
    wind.value = size === 1 ? trip.wind_at_ear_ms : (trip.wind_at_ear_ms / size).toFixed(1);
    DeskMap.scale(trip.units.read);
    form.elements.reserve.value = Math.round(trip.reserve * 100);
  }
  form.addEventListener("submit", event => event.preventDefault());
  form.addEventListener("change", event => {
    const field = event.target;
    if (!field.reportValidity()) return;
    filled = "";
    if (field.name === "reserve") change("set reserve", { reserve: Number(field.value) / 100 });
    else if (field.name === "wind_at_ear_ms") change("set wind", { wind_at_ear_ms: Number((Number(field.value) * trip.units.wind[1]).toFixed(3)) });
    else change("set hours", { [field.name]: field.value.length === 5 ? `${field.value}:00` : field.value });
  });

  let fitted = false;
  function fit() {
    if (fitted || !plan || !plan.lines.length) return;
    fitted = true;
    map.fitBounds(L.latLngBounds([...plan.lines.flat(), trip.car]), { padding: [60, 60], animate: false });
  }
  function headline(of) {
    find("headline").replaceChildren(...(of ? of.headline : []).map(([what, when]) => {
      const item = make("li");
      item.append(make("span", what), make("b", when));
      return item;
    }));
  }
  function table(of) {
    const rows = (of ? of.stops : []).map(stop => {
      const row = make("tr"), first = make("td");
      const pick = button(String(stop.number), () => { choose(stopOf(stop.number)); map.panTo(stop.at, { animate: false }); }, stop.must === null ? "pick" : "pick locked");
      pick.setAttribute("aria-label", `Choose stop ${stop.number}${stop.must === null ? "" : ", locked"}`);
      first.append(pick);
      row.append(first, make("td", stop.arrive), make("td", stop.leave), make("td", stop.males.toFixed(2)), make("td", stop.latest_leave));
      return row;
    });
    find("stops").tBodies[0].replaceChildren(...rows);
  }
  const stopOf = number => plan.stops.find(one => one.number === number);
  function redraw(again) {
    if (!plan || !trip) return;
    if (again || drawnOf !== plan) {
      const focused = document.activeElement && pins.findIndex(pin => pin.getElement() === document.activeElement);
      shaping.clearLayers();
      pins = WalkLayer.draw(walk, plan, trip.car, { moving: evaluate, moved, chosen: choose });
      drawnOf = plan;
      headline(plan);
      table(plan);
      fit();
      if (focused >= 0 && pins[focused]) pins[focused].getElement().focus({ preventScroll: true });
      const stop = stopChosen();
      if (chosen !== null) choose(stop || null);
    }
    find("cost").textContent = plan.of === null ? "" : plan.cost || "";
  }
  function news(said) {
    const same = plan && said.plan && plan.of === said.plan.of && plan.whole === said.plan.whole;
    if (!same) plan = said.plan;
    trip = said.trip || trip;
    find("words").replaceChildren(...(plan ? plan.words : []).map(one => make("li", one)));
    find("work").hidden = !said.work;
    if (said.work) {
      find("step").textContent = plan && plan.of === said.version ? `A first answer; ${said.work.words}` : said.work.words;
      find("share").value = said.work.share;
    }
    find("next").textContent = nextStep(said);
    find("plan-on").parentElement.hidden = !unfinished(said);
    if (trip) { decisions(); fill(); }
    redraw(false);
    History.news(said);
    ground(said);
  }
  const unfinished = said => Boolean(trip) && !said.work && !said.fault && !(plan && plan.of === said.version && plan.whole);
  function nextStep(said) {
    if (said.work || said.fault) return "";
    if (unfinished(said)) return plan && plan.of === said.version ? "Planning was stopped: this is the newest plan, the search for a better one is not over." : "Planning was stopped.";
    return "Drag a stop to move it. When the walk is right: Take it along.";
  }
  /* the ground is drawn once for each place of the car and each closed ground */
  function ground(said) {
    trip = said.trip || trip;
    const key = trip && JSON.stringify([trip.car, trip.closed, trip.units.read]);
    if (said.version === null || key === grounded) return;
    const first = grounded === null;
    grounded = key;
    ask("ground", {}, { quietly: true }).then(answer => { if (answer.ground) DeskMap.ground(answer.ground, first && !fitted); }, () => { grounded = null; });
  }
  find("stop").addEventListener("click", () => ask("stop").then(Start.take, () => null));
  find("plan-on").addEventListener("click", () => ask("plan").then(Start.take, () => null));
  return {
    open() { groups.forEach(one => one.addTo(map)); },
    close() { groups.forEach(one => one.remove()); choose(null); },
    news,
    ground,
    other: L.layerGroup(),
  };
})();
