/* Choose the country: point at the place of the car, see what is known of it, start a trip there; compare ranked areas. */
"use strict";
Desk.rooms.country = (() => {
  const { find, make, button, ask, say } = Desk;
  const { map, icon, marker } = DeskMap;
  const pins = L.layerGroup(), drawn = Drawn.group();
  let open = false, said = { version: null }, place = null, layers = false, looked = false, network = false, region = false, ranked = false, stands = "";

  async function look(request) {
    let answer;
    try { answer = await ask("country/place", request); } catch (_) { return; }
    Desk.fault("");
    place = answer;
    show(answer.rows);
    car(answer.at, "Where the car would stand");
    if (!map.getBounds().contains(answer.at) || map.getZoom() < 11) map.setView(answer.at, Math.max(map.getZoom(), 13), { animate: false });
    next();
    say(answer.rows.map(row => row.join(" ")).join(", "));
    base(answer.at);
  }
  const show = rows => find("country-facts").replaceChildren(...rows.flatMap(([what, words]) => [make("dt", what), make("dd", words)]));
  function car(at, name) {
    pins.clearLayers();
    marker(at, icon("car", "CAR", 38), name, { keyboard: false, interactive: false }).addTo(pins);
  }
  /* the car of the trip that stands, until another place is pointed at */
  function standing() {
    if (place || !said.trip || stands === String(said.trip.car)) return;
    const { car: at } = said.trip;
    stands = String(at);
    car(at, "Where the car stands");
    ask("country/place", { at }, { quietly: true }).then(answer => { if (!place) show(answer.rows); }, () => null);
  }
  /* the layers of the folder round that place, and whether there is a road */
  async function base(at) {
    const here = () => at && place && place.at === at;
    try {
      const answer = await ask("country/base", at ? { at } : {}, { quietly: true });
      layers = Boolean(answer.ground);
      if (layers && said.version === null) DeskMap.ground(answer.ground, !at);
      if (!at) find("country-drawn").textContent = layers ? answer.words.join(" ") : "";
      if (here()) show([...place.rows, layers ? ["road", answer.road] : ["layers", answer.words.join(" ")]]);
    } catch (wrong) {
      layers = false;
      if (here()) show([...place.rows, ["layers", wrong.message]]);
      else if (!at) Desk.fault(wrong.message);
    }
    next();
  }
  find("country-form").addEventListener("submit", event => { event.preventDefault(); if (find("country-text").value.trim()) look({ text: find("country-text").value }); });
  find("country-point").addEventListener("click", () => Drawing.start({ button: find("country-point"), words: "Click where the car stands.", most: 1, anywhere: true, work: ([at]) => look({ at }) }));

  find("country-begin").addEventListener("click", () => {
    const asked = said.version === null ? ask("country/begin", { at: place.at, day: place.day }) : ask("change", { kind: "set car", at: place.at });
    asked.then(started, () => null);
  });
  function started(news) {
    Desk.fault("");
    place = null;
    stands = "";
    pins.clearLayers();
    find("country-got").hidden = true;
    Start.take(news);
    Start.open("morning");
  }
  find("country-network").addEventListener("change", event => { network = event.target.checked; next(); });
  find("country-gather").addEventListener("click", async () => {
    const at = place.at, asked = ask("country/gather", { at, network });
    network = false; /* it holds for this once */
    find("country-network").checked = false;
    next();
    try {
      const answer = await asked;
      Desk.fault("");
      find("country-got").hidden = false;
      find("country-got").open = answer.there < answer.of;
      find("country-got-count").textContent = `${answer.there} of ${answer.of} layers are there: what came of each`;
      find("country-got-words").replaceChildren(Drawn.words(answer.words));
    } catch (_) { /* the fault is shown */ }
    base(at);
  });

  /* ranked areas, side by side */
  find("country-areas").addEventListener("click", async () => {
    find("country-areas").disabled = true;
    try {
      const answer = await ask("country/areas");
      Desk.fault("");
      ranked = true;
      drawn.show({ pins: answer.areas.map(area => ({ face: "place", text: String(area.rank), at: area.at, title: `${area.rank}. ${area.name}` })) }, pin => choose(pin.text));
      find("country-why").hidden = true;
      find("country-ranked").replaceChildren(...table(answer));
      next();
    } catch (_) { /* the fault is shown */ } finally { find("country-areas").disabled = false; }
  });
  function table(answer) {
    const box = make("div", undefined, "scroll"), made = make("table", undefined, "close"), head = made.createTHead().insertRow(), body = made.createTBody();
    box.tabIndex = 0;
    box.setAttribute("role", "region");
    box.setAttribute("aria-label", "Ranked places");
    answer.head.forEach(name => { const cell = make("th", name); cell.scope = "col"; head.append(cell); });
    answer.areas.forEach(area => {
      const line = body.insertRow();
      line.dataset.rank = area.rank;
      area.cells.forEach((cell, k) => {
        const one = line.insertCell();
        if (k) one.textContent = cell;
        else one.append(named(button(cell, () => pick(area, line), "pick"), `Look at place ${area.rank}, ${area.name}`));
      });
    });
    box.append(made);
    return [make("p", answer.lead, "quiet"), box, ...answer.left_out.map(words => make("p", words, "quiet"))];
  }
  const named = (made, name) => { made.setAttribute("aria-label", name); return made; };
  /* one area: why it ranks where it does, and a trip there */
  function pick(area, line) {
    [...line.parentElement.rows].forEach(row => row.classList.toggle("now", row === line));
    if (!map.getBounds().pad(-0.1).contains(area.at)) map.panTo(area.at, { animate: false });
    const tools = make("div", undefined, "tools"), why = find("country-why");
    tools.append(button("Start a trip there", () => ask("country/begin_area", { number: area.rank }).then(started, () => null), "next"));
    why.replaceChildren(make("h3", `${area.rank}. ${area.name}`), make("p", area.why), tools);
    why.hidden = false;
    why.scrollIntoView({ block: "nearest" });
    say(`Place ${area.rank} chosen`);
  }
  function choose(rank) {
    const line = find("country-ranked").querySelector(`[data-rank="${CSS.escape(rank)}"] button`);
    if (line) line.click();
    find("country-why").focus({ preventScroll: true });
  }
  find("country-stop").addEventListener("click", () => ask("notes/stop"));

  function next() {
    const there = said.version !== null, idle = !said.busy;
    find("country-begin").hidden = !place || (!there && !layers);
    find("country-begin").textContent = there ? "Move the car here" : "Start a trip here";
    find("country-gather-box").hidden = !place || there || layers;
    find("country-gather").disabled = !network || !place || !idle;
    find("country-gather").classList.toggle("next", network && idle);
    find("country-areas").classList.toggle("next", region && !ranked && !place && !there);
    find("country-next").textContent = place ? (there || layers || !idle ? "" : "Layers are needed: gather them, or put your own into the folder.")
      : there ? "The car stands where the map shows it. Point to another place to move it."
      : ranked ? "Choose a rank to see why, and start a trip there."
      : region ? "Rank the places where a car can stand, or point at one yourself." : "Point at the place where the car will stand.";
  }
  return {
    open() {
      open = true;
      pins.addTo(map);
      drawn.open();
      ask("country/have").then(answer => { region = answer.region; find("country-region").hidden = !region; next(); }, () => null);
    },
    close() { open = false; pins.remove(); drawn.close(); },
    news(what) {
      said = what;
      if (!open) return;
      if (what.version === null && !looked) { looked = true; base(null); }
      find("country-work").hidden = !what.busy;
      if (what.busy) { find("country-step").textContent = what.busy.words || "Starting"; find("country-share").value = what.busy.share; }
      standing();
      next();
    },
  };
})();
